"""The result of ``climrisk spots``: spots ranked for a plant."""

from __future__ import annotations

from climrisk.advice.months import State as MonthState
from climrisk.advice.verdict import VerdictWord
from climrisk.commands.shared.light_result import Dryness, Light
from climrisk.commands.shared.result import ExportedResult
from climrisk.commands.shared.subject_result import LimitInfo
from climrisk.commands.shared.wind_result import Wind
from climrisk.core.ranges import Band
from climrisk.render.document import Caution, Frozen, WeatherInfo


class RegimeNights(Frozen):
    """Winters' nights of one regime: clear and still, or windy and overcast.

    Bands run over winters and members; `offset_k` is the median's mean difference
    of night minima from the station.
    """

    nights_per_winter: float
    cold_nights: Band
    hours_below_preferred: Band
    root_zone_hours_below_preferred: Band
    lowest_c: Band
    offset_k: float | None


class SpotRow(Frozen):
    """A spot, its verdict, what its air does to the plant in a growing year, and why.

    Spots rank by `word`, then harmful nights, then hours below the preferred minimum.
    `root_zone_hours_below_preferred` is of the pot that was
    asked for. `surroundings_k` is what each thing around adds to the root zone's
    winter night lows, found by switching it off. `dryness`, `light` and `wind` are as
    those of ``climrisk assess``, with a plant of usual size for the pot.
    """

    rank: int
    kind: str
    spot: str
    at: str
    word: VerdictWord
    may_be: VerdictWord | None
    why: str
    months: dict[str, MonthState]
    harmful_nights: Band
    cold_nights: Band
    hours_below_preferred: Band
    hours_below_tolerated: Band
    hours_above_hot_limit: Band | None
    root_zone_hours_below_preferred: Band
    lowest_c: Band
    still_nights: RegimeNights
    mixed_nights: RegimeNights
    windy_nights: RegimeNights
    wind_share: float
    surroundings_k: dict[str, float]
    dryness: Dryness
    light: Light
    wind: Wind
    differs_from_best: bool | None
    reason: str


class SpotsResult(ExportedResult):
    """Spots ranked for a plant, the best first."""

    plant: str
    preferred_c: float
    tolerated_c: float
    limits: dict[str, LimitInfo | None]
    pot: str
    members: int
    years: int
    weather: WeatherInfo
    spots: list[SpotRow]
    sentence: str
    cautions: list[Caution]
    files: list[str]
