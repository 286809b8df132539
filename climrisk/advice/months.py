"""Month states: out, in, unsure or unknown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np

from climrisk.advice.dates import LEAST_WINTERS, RiskDate
from climrisk.advice.judged import ColdNights
from climrisk.exposure.nights import COVERAGE
from climrisk.seasons import season_months

State = Literal["out", "in", "unsure", "unknown"]

#: From this share of years with a cold night on, a month is spent indoors.
IN_SHARE = 0.5
_LENGTH = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@dataclass(frozen=True)
class Month:
    """State of a month.

    Parameters
    ----------
    state : str
        ``out``: the share of years with a cold night is at most the risk; ``in``: at
        least half; ``unsure``: between, or a moving date falls into it; ``unknown``:
        fewer than three years known.
    share : float or None
        Share of years (and worlds) with a cold night.
    years : int
        Years in which the month is known.
    """

    state: State
    share: float | None
    years: int


def month_states(nights: ColdNights, risk: float) -> dict[int, Month]:
    """Return the state of each month, in the order of the growing year.

    A month of a year is known when 80 % of its nights could be judged, or a cold
    night was seen.
    """
    out = {}
    for month in season_months(north=nights.north):
        shares = []
        for year in np.unique(nights.year):
            rows = (nights.year == year) & (nights.month == month)
            cold = nights.cold[rows].any(axis=0)
            judged = (~nights.unknown[rows]).sum(axis=0)
            known = cold | (judged >= COVERAGE * _LENGTH[month - 1])
            if known.all():
                shares.append(cold.mean())
        out[month] = _month(shares, risk)
    return out


def _month(shares: list[float], risk: float) -> Month:
    if len(shares) < LEAST_WINTERS:
        return Month("unknown", None, len(shares))
    share = float(np.mean(shares))
    state: State = "unsure"
    if share <= risk + 1e-12:
        state = "out"
    elif share >= IN_SHARE:
        state = "in"
    return Month(state, share, len(shares))


def reconciled(
    months: dict[int, Month], into: RiskDate, out: RiskDate, *, north: bool
) -> dict[int, Month]:
    """Return month states that never contradict the dates.

    Risks of single months do not add up to the risk of a date: a month may be fine by
    itself and still hold, or follow, the evening by which to be inside. Such a month
    is unsure, not out.
    """
    begin, end = _indoors_from(into), _indoors_until(out)
    start = 0
    result = {}
    for month in season_months(north=north):
        stop = start + _LENGTH[month - 1]  # first day of the next month
        row = months[month]
        if row.state == "out" and stop > begin and start < end:
            row = Month("unsure", row.share, row.years)
        result[month] = row
        start = stop
    return result


def _indoors_from(into: RiskDate) -> float:
    if into.day is not None:
        return into.day
    return 0 if into.status == "always" else np.inf


def _indoors_until(out: RiskDate) -> float:
    if out.day is not None:
        return out.day
    return 365 if out.status == "always" else -np.inf


@dataclass(frozen=True)
class Block:
    """The months not spent wholly outdoors.

    Parameters
    ----------
    whole : int
        Months spent indoors (``in``).
    partly : int
        Months in which a moving date falls, or whose risk lies between (``unsure``).
    together : bool
        They follow one another; the year is a circle.
    """

    whole: int
    partly: int
    together: bool


def indoor_block(months: dict[int, Month]) -> Block:
    """Return the months not spent wholly outdoors."""
    rows = list(months.values())
    away = [row.state != "out" for row in rows]
    edges = sum(a != b for a, b in zip(away, away[1:] + away[:1], strict=True))
    whole = sum(row.state == "in" for row in rows)
    return Block(whole, sum(away) - whole, edges <= 2)


def typical_months(cold: ColdNights) -> dict[int, Month]:
    """Return month states of a typical year: one year, no risk."""
    states = month_states(cold, 0.1)
    out = {}
    for month, row in states.items():
        rows = cold.month == month
        share = float(cold.cold[rows].any(axis=0).mean()) if rows.any() else None
        state = row.state if share is None else ("in" if share >= 0.5 else "out")
        out[month] = Month(state, share, 1 if share is not None else 0)
    return out
