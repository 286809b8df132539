"""Month states: out, in, unsure or unknown."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.dates import LEAST_WINTERS, RiskDate
from climrisk.advice.judged import ColdNights
from climrisk.exposure.nights import COVERAGE
from climrisk.seasons import season_months

State = Literal["out", "in", "unsure", "unknown"]
STATES: tuple[State, ...] = ("out", "in", "unsure", "unknown")
Float = NDArray[np.floating]
Int = NDArray[np.int64]

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
    share, years = month_shares(nights, places=1)
    states = states_of(share, years, risk)
    return {
        month: Month(
            STATES[int(states[month - 1, 0])],
            float(share[month - 1, 0])
            if years[month - 1, 0] >= LEAST_WINTERS
            else None,
            int(years[month - 1, 0]),
        )
        for month in season_months(north=nights.north)
    }


def month_shares(nights: ColdNights, *, places: int) -> tuple[Float, Int]:
    """Return how often each month of many places has a cold night.

    Parameters
    ----------
    nights : ColdNights
        Its cases are those of the first place, then of the second, and so on.
    places : int
        One pools all cases as members; as many as cases keeps each alone.

    Returns
    -------
    share, years : ndarray, shape (12, place)
        Share of the known years (and their members) with a cold night, and how many
        are known. Row 0 is January.
    """
    shape = (places, nights.members // places)
    total, years = np.zeros((12, places)), np.zeros((12, places), np.int64)
    group = nights.year * 12 + nights.month - 1
    first = np.flatnonzero(np.diff(group, prepend=group[:1] - 1))
    cold = np.logical_or.reduceat(nights.cold, first, axis=0)
    lost = np.add.reduceat(nights.unknown, first, axis=0, dtype=np.int32)
    count = np.diff(first, append=len(group))
    for i, month in enumerate(nights.month[first] - 1):
        enough = count[i] - lost[i] >= COVERAGE * _LENGTH[month]
        known = (cold[i] | enough).reshape(shape).all(axis=1)
        total[month] += np.where(known, cold[i].reshape(shape).mean(axis=1), 0.0)
        years[month] += known
    with np.errstate(invalid="ignore"):
        return total / years, years


def states_of(share: Float, years: Int, risk: float) -> NDArray[np.int8]:
    """Return the states of months as indices into `STATES`, shape of `share`."""
    return np.select(
        [years < LEAST_WINTERS, share <= risk + 1e-12, share >= IN_SHARE],
        [STATES.index("unknown"), STATES.index("out"), STATES.index("in")],
        STATES.index("unsure"),
    ).astype(np.int8)


def reconciled(
    months: dict[int, Month], into: RiskDate, out: RiskDate, *, north: bool
) -> dict[int, Month]:
    """Return month states that never contradict the dates.

    Risks of single months do not add up to the risk of a date: a month may be fine by
    itself and still hold, or follow, the evening by which to be inside. Such a month
    is unsure, not out.
    """
    begin, end = _indoors_from(into), _indoors_until(out)
    unsure = straddling(np.array([begin]), np.array([end]), north=north)[:, 0]
    return {
        month: Month("unsure", row.share, row.years)
        if row.state == "out" and unsure[month - 1]
        else row
        for month, row in months.items()
    }


def straddling(begin: Float, end: Float, *, north: bool) -> NDArray[np.bool_]:
    """Return which months hold days between two dates, shape (12, place).

    Parameters
    ----------
    begin, end : ndarray, shape (place,)
        Days of the growing year; infinities where there is no such date.
    north : bool
    """
    out = np.zeros((12, len(begin)), np.bool_)
    start = 0
    for month in season_months(north=north):
        stop = start + _LENGTH[month - 1]  # first day of the next month
        out[month - 1] = (stop > begin) & (start < end)
        start = stop
    return out


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
