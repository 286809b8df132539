"""Risk by date, and how cold the rare winters get, as parts of a result."""

from __future__ import annotations

from typing import Literal

from climrisk.core.ranges import Band
from climrisk.render.document import Frozen


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
