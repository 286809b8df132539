"""The result of ``climrisk arrive``: put a new plant out, or hold it until when."""

from __future__ import annotations

from climrisk.advice.verdict import VerdictWord
from climrisk.commands.shared.result import CommandResult
from climrisk.commands.shared.subject_result import PlantInfo, SpotInfo
from climrisk.core.ranges import Band
from climrisk.render.document import Caution, Frozen, WeatherInfo


class SpanInfo(Frozen):
    """Some weeks of the calendar, as all past years had them at the spot."""

    first: str
    last: str
    years: int
    share_with_harmful_night: float | None
    cold_nights: Band | None
    lowest_c: Band | None
    hot_days: Band | None


class WeekInfo(Frozen):
    """Night minima of one coming week in all past years and members."""

    first: str
    low_c: float | None
    mid_c: float | None
    high_c: float | None


class Care(Frozen):
    """A line of aftercare and where it is from."""

    words: str
    basis: str


class ArriveResult(CommandResult):
    """Whether the coming weeks suit a new plant, else where and when to hold it.

    `stays_until` is the last day of the stretch of weeks that suit it; null where they
    never end.
    """

    plant: PlantInfo
    weather: WeatherInfo
    spot: SpotInfo
    state: str
    risk: float
    as_of: str
    weeks: int
    verdict: VerdictWord
    preferred_c: float
    tolerated_c: float
    hot_months: list[int]
    hot_c: float | None
    coming: SpanInfo
    by_week: list[WeekInfo]
    put_out_now: bool
    hold_until: str | None
    hold_where: str | None
    hold_where_serves: bool | None
    hold_where_why: str | None
    stays_until: str | None
    after_holding: SpanInfo | None
    why: str
    sentence: str
    aftercare: list[Care]
    cautions: list[Caution]
    files: list[str]
