"""Moving dates, risk by date and rare winters as parts of a result."""

from __future__ import annotations

from typing import Literal

from climrisk.core.ranges import Band
from climrisk.render.document import DriftInfo, Frozen


class RiskDay(Frozen):
    """The risk of a day, with what the number of winters leaves open."""

    month_day: str
    risk: Band


class RiskRow(Frozen):
    """Both dates at one risk, each with the days between which it may lie."""

    risk: float
    move_in: str | None
    move_in_earliest: str | None
    move_in_latest: str | None
    move_out: str | None
    move_out_earliest: str | None
    move_out_latest: str | None


class RiskCurves(Frozen):
    """Risk by date: of a cold night before an evening, and on or after it."""

    autumn: list[RiskDay]
    spring: list[RiskDay]
    by_risk: list[RiskRow]
    why: str


class TailLevel(Frozen):
    """The coldest night once in so many winters; low is the colder."""

    once_in_winters: int
    lowest_c: Band


class TailInfo(Frozen):
    """Coldest nights by their rarity; none with fewer than fifteen winters."""

    distribution: Literal["gumbel", "generalized extreme value", "none"]
    winters: int
    levels: list[TailLevel]
    why: str


class DateRange(Frozen):
    """Earliest and latest of the winters' own dates, as MM-DD."""

    earliest: str | None
    latest: str | None


class Move(Frozen):
    """A moving date by its risk.

    `risk` is the one the date keeps: the accepted one, or 1/(n+1) where n winters
    support no smaller one. `governed_by` says whether single harmful nights or long
    cold decide.
    """

    month_day: str | None
    next_date: str | None
    range: DateRange
    risk: float
    n: int
    status: Literal["date", "never", "always", "few", "typical year"]
    governed_by: Literal["harmful nights", "cold nights"] | None
    why: str


class ColdestNight(Frozen):
    """A coldest night of the record, middle member."""

    evening: str
    lowest_c: float


class Winters(Frozen):
    """Winters that count; a winter without a cold night stays in n."""

    n: int
    with_cold_night: Band | None
    with_harmful_night: Band | None
    coldest: list[ColdestNight]
    tail: TailInfo
    drift: DriftInfo | None


class UsualNights(Frozen):
    """First and last night below the preferred minimum in the median winter."""

    first_cold_night: str | None
    last_cold_night: str | None
