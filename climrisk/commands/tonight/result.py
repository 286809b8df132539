"""The result of ``climrisk tonight``: carry, cover, leave."""

from __future__ import annotations

from typing import Literal

from climrisk.commands.shared.result import CommandResult
from climrisk.core.ranges import Band
from climrisk.render.document import Assumed, Caution, Frozen
from climrisk.spot.regimes import NightKind


class ForecastInfo(Frozen):
    """Where the forecast comes from and how old it is.

    `understood` is what was read from typed words, in their units, null otherwise.
    `fetched` and `age_min` are null where it was typed or invented; a fetched one is
    never kept, so it is as old as the command's run.
    """

    kind: Literal["words", "forecast", "demo"]
    words: str | None
    understood: str | None = None
    source: str
    place: str
    fetched: str | None
    age_min: int | None
    credit: str


class NightForecast(Frozen):
    """The night as the forecast has it, at its own place.

    `sunset` is by the clock of the place, summer time included, HH:MM; null where the
    sun does not set that day.
    """

    evening: str
    sunset: str | None
    lowest_c: float
    lowest_at: str | None
    highest_c: float | None
    wind_m_s: float | None
    gust_m_s: float | None
    gust_from_wind: bool
    cloud_frac: float | None
    regime_weight: float
    kind: NightKind
    words: str


class SpotTonight(Frozen):
    """A spot: what is expected there, and what to plan for.

    `plan_for_c` is `expected_c` less `margin_k`, in which the forecast's and the
    spot's standard deviations are joined by their squares.
    """

    name: str
    kind: str
    words: str
    indoors: bool
    expected_c: float
    plan_for_c: float
    margin_k: float
    forecast_sd_k: float
    spot_sd_k: float


class PlantTonight(Frozen):
    """A plant and what to do with it; `short_k` is how far the plan lies below.

    `row` is the reference of its entry in the home file, null without one.

    `gust_m_s` is the strongest gust of the night at the plant, `falls_at_m_s` the gust
    that throws its pot (10, 50, 90 % of what is not known of it): it `may_fall` where
    the one reaches the low end of the other. Null indoors, without a pot or wind.
    """

    plant: str
    label: str
    row: str | None
    count: int
    state: str
    spot: str
    to: str | None
    to_plan_for_c: float | None
    plan_for_c: float
    preferred_c: float
    tolerated_c: float
    needs_cold: bool
    short_k: float
    weight_kg: float | None
    heavy: bool
    gust_m_s: float | None
    falls_at_m_s: Band
    may_fall: bool
    why: str


class Figure(Frozen):
    """A figure that the advice rests on, and on what that rests."""

    what: str
    value: float
    unit: str
    basis: str


class NotJudged(Frozen):
    """A plant that nothing is said of, and why."""

    label: str
    reason: str


class TonightResult(CommandResult):
    """What to do before tonight.

    `inside` are plants that were noted as carried in and may stay there; `needed` says
    whether anything is to be carried, covered or secured.
    """

    home: str
    forecast: ForecastInfo
    night: NightForecast
    spots: list[SpotTonight]
    wind_first: bool
    cover_helps: bool
    cover_words: str
    rooms_words: str
    first: list[str]
    carry: list[PlantTonight]
    cover: list[PlantTonight]
    leave: list[PlantTonight]
    inside: list[PlantTonight]
    needed: bool
    secure: list[str]
    not_judged: list[NotJudged]
    sentence: str
    figures: list[Figure]
    assumed: list[Assumed]
    cautions: list[Caution]
    files: list[str]
