"""The result of ``climrisk learn``."""

from __future__ import annotations

from climrisk.commands.shared.result import ExportedResult
from climrisk.render.document import Caution, Frozen, WeatherInfo


class Offset(Frozen):
    """An offset of night minima from the station's, in kelvins.

    `low` and `high` hold nine tenths of what is believed.
    """

    mean: float
    sd: float
    low: float
    high: float


class LearnedNight(Frozen):
    """One night known to both logger and station."""

    evening: str
    regime_weight: float
    kind: str
    difference_k: float
    foretold_k: float


class LearnResult(ExportedResult):
    """Offsets of a spot from its own logger.

    Errors are root mean squares over nights of weeks that were left out: of the
    station's minimum as it is, of the prior of the kind, and of what was learned.
    `spread_k` is the standard deviation of the still offset; `in_four_weeks_k` what it
    would be after four more weeks of the nights that the season brings.
    """

    spot: str
    spot_kind: str
    logger: str
    weather: WeatherInfo
    first: str
    last: str
    nights_used: int
    still_nights: int
    windy_nights: int
    nights_left_aside: int
    prior_still: Offset
    prior_windy: Offset
    still: Offset
    windy: Offset
    offset_still_k: float
    offset_windy_k: float
    spread_k: float
    day_k: float | None
    noise_k: float
    swing_ratio_still: float | None
    swing_ratio_windy: float | None
    still_by_hour: list[float]
    windy_by_hour: list[float]
    error_station_k: float | None
    error_before_k: float | None
    error_after_k: float | None
    held_out_blocks: int
    in_four_weeks_k: float | None
    still_nights_in_four_weeks: float | None
    earlier_nights: int
    nights: list[LearnedNight]
    sentence: str
    notes: list[str]
    cautions: list[Caution]
    saved: str | None
    files: list[str]
