"""The risk of every date, with what so few winters leave open.

The i-th earliest of n first cold nights has, in the long run, the risk i / (n + 1); how
far the true risk lies from it is known whatever the climate: it follows the i-th of n
ordered uniform numbers (David & Nagaraja 2003, Order Statistics, section 2.3), which is
what resampling the winters with random weights draws (Rubin 1981, the Bayesian
bootstrap). The band holds 8 such draws in 10, over all members of the spread.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cold_nights import LEAST_WINTERS, ColdNights
from climrisk.advice.dates import dated_winters, positions
from climrisk.core.arrays import Float
from climrisk.core.ranges import PERCENTILES, Band

#: Risks for which dates are shown beside each other.
LADDER = (0.01, 0.02, 0.05, 0.1, 0.2, 0.25, 0.3, 0.4, 0.5)
#: The curve is drawn up to this risk.
HIGHEST = 0.8
_DRAWS = 400
_SEED = 1981


@dataclass(frozen=True)
class DayRisk:
    """Risk of one day of the growing year.

    Parameters
    ----------
    day : int
        Days since the growing year's first.
    risk : Band
        In autumn: a cold night comes before that evening. In spring: on or after it.
    """

    day: int
    risk: Band


def risk_curve(nights: ColdNights, *, autumn: bool) -> list[DayRisk]:
    """Return the risk of each day on which it lies between 1/(n+1) and 80 %.

    Empty with fewer than three winters, and where no winter has a cold night.
    """
    signed = _signed(nights, autumn=autumn)
    n = len(signed)
    if n < LEAST_WINTERS or not np.isfinite(signed).any():
        return []
    dates, place = reached(signed)
    days = np.arange(int(np.floor(dates[0])), int(np.ceil(dates[-1])) + 1)
    middle = np.interp(days, dates, place)
    shown = (middle >= 1 / (n + 1) - 1e-9) & (middle <= HIGHEST)
    days, middle = days[shown], middle[shown]
    low, high = _sampling(signed, days)
    rows = [
        DayRisk(
            int(d if autumn else -d),
            Band(float(min(lo, m)), float(m), float(max(hi, m))),
        )
        for d, lo, m, hi in zip(days, low, middle, high, strict=True)
    ]
    return rows if autumn else rows[::-1]


def reached(signed: Float) -> tuple[Float, Float]:
    """Return the distinct finite dates in order, and the least risk of each.

    Parameters
    ----------
    signed : ndarray, shape (winter, member)
        Dates that grow with the risk; +inf where a winter has none.
    """
    pooled = np.sort(signed, axis=None)
    place = positions(*signed.shape)
    finite = np.isfinite(pooled)
    dates, first = np.unique(pooled[finite], return_index=True)
    return dates, place[first]


def _signed(nights: ColdNights, *, autumn: bool) -> Float:
    first, last = nights.first_and_last
    known = dated_winters(first if autumn else last)
    return known if autumn else -known


def _sampling(signed: Float, days: NDArray[np.int64]) -> tuple[Float, Float]:
    """Return the 10th and 90th percentile of the true risk of each day."""
    n, members = signed.shape
    gaps = np.random.default_rng(_SEED).exponential(size=(_DRAWS, n + 1))
    ordered = np.concatenate([np.zeros((_DRAWS, 1)), np.cumsum(gaps, axis=1)], axis=1)
    ordered /= ordered[:, -1:]
    drawn = []
    for m in range(members):
        dates, place = reached(signed[:, m : m + 1])
        if len(dates) == 0:
            drawn.append(np.zeros((_DRAWS, len(days))))
            continue
        # Before the first of its winters a member still has half a winter's chance.
        index = np.interp(days, dates, place * (n + 1), left=0.5)
        low = np.floor(index).astype(int)
        share = index - low
        high = np.minimum(low + 1, n + 1)
        drawn.append((1 - share) * ordered[:, low] + share * ordered[:, high])
    low_high = np.percentile(
        np.concatenate(drawn), (PERCENTILES[0], PERCENTILES[2]), axis=0
    )
    return low_high[0], low_high[1]


def date_span(
    curve: list[DayRisk], risk: float, *, autumn: bool
) -> tuple[int | None, int | None]:
    """Return the days between which the date of a risk may lie, 8 chances in 10.

    None where a curve of so few winters does not reach the risk on that side.
    """
    rows = curve if autumn else curve[::-1]
    if not rows:
        return None, None
    days = np.array([r.day for r in rows], dtype=float)
    ends = []
    for side in ("high", "low"):
        risks = np.array([getattr(r.risk, side) for r in rows])
        risks = np.maximum.accumulate(risks)
        inside = risks[0] <= risk <= risks[-1]
        ends.append(int(np.rint(np.interp(risk, risks, days))) if inside else None)
    return (ends[0], ends[1]) if autumn else (ends[1], ends[0])
