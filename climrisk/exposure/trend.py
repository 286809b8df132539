"""Whether winters have drifted, or jumped as when a station was moved."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float

#: Fewer winters show no trend, and their ends no break.
LEAST_WINTERS, LEAST_SIDE = 10, 4
_LEVEL = 0.05


@dataclass(frozen=True)
class Drift:
    """Trend and break of a yearly series.

    Parameters
    ----------
    kind : {"none", "trend", "break"}
        What stands out at 5 %; of a trend and a break, the one that leaves less.
    per_decade : float
        Slope of Theil and Sen.
    p_trend : float
        Of Mann and Kendall, two-sided.
    break_at : int
        Index of the first value after the likeliest break.
    shift : float
        Median after it minus median before it.
    p_break : float
        Of Pettitt.
    """

    kind: Literal["none", "trend", "break"]
    per_decade: float
    p_trend: float
    break_at: int
    shift: float
    p_break: float


def drift(values: Float, years: NDArray[np.integer]) -> Drift | None:
    """Return trend and break of a yearly series; None with fewer than ten values.

    A jump looks like a trend to the one test and a trend like a jump to the other, so
    both are fitted and the better one is named.

    Parameters
    ----------
    values : ndarray of float, shape (year,)
        NaN is left out.
    years : ndarray of int, shape (year,)
    """
    known = np.isfinite(values)
    x, t = values[known], years[known].astype(float)
    if len(x) < LEAST_WINTERS:
        return None
    slope, p_trend = theil_sen(x, t), mann_kendall_p(x)
    at, p_break = pettitt(x)
    shift = float(np.median(x[at:]) - np.median(x[:at]))
    line = x - slope * t
    straight = float(((line - line.mean()) ** 2).sum())
    jump = float(x[:at].var() * at + x[at:].var() * (len(x) - at))
    kind: Literal["none", "trend", "break"] = "none"
    # A jump has its place to choose as well: by the criterion of Schwarz (1978).
    if p_break < _LEVEL and jump * len(x) ** (1 / len(x)) < straight:
        kind = "break"
    elif p_trend < _LEVEL:
        kind = "trend"
    place = int(np.flatnonzero(known)[at])
    return Drift(kind, 10 * slope, p_trend, place, shift, p_break)


def theil_sen(values: Float, at: Float) -> float:
    """Return the median of all pairs' slopes (Sen 1968, JASA 63:1379)."""
    i, j = np.triu_indices(len(values), 1)
    apart = at[j] != at[i]
    i, j = i[apart], j[apart]
    return float(np.median((values[j] - values[i]) / (at[j] - at[i])))


def mann_kendall_p(values: Float) -> float:
    """Return the two-sided probability of so much order by chance.

    Normal approximation with ties and the correction for continuity (Kendall 1975,
    Rank Correlation Methods, 4th ed.); good from ten values.
    """
    n = len(values)
    i, j = np.triu_indices(n, 1)
    s = float(np.sign(values[j] - values[i]).sum())
    _, ties = np.unique(values, return_counts=True)
    tied = float((ties * (ties - 1) * (2 * ties + 5)).sum())
    variance = (n * (n - 1) * (2 * n + 5) - tied) / 18
    if variance <= 0:
        return 1.0
    z = max(abs(s) - 1, 0) / math.sqrt(variance)
    return math.erfc(z / math.sqrt(2))


def pettitt(values: Float) -> tuple[int, float]:
    """Return where a series is likeliest to jump, and the probability by chance.

    ``p = 2 exp(-6 K^2 / (n^3 + n^2))`` (Pettitt 1979, Appl. Stat. 28:126). The index
    is that of the first value after the jump, at least four values from either end.
    """
    n = len(values)
    order = np.sign(values[:, None] - values[None, :])
    ahead = np.array([order[k:, :k].sum() for k in range(1, n)])
    inner = np.abs(ahead[LEAST_SIDE - 1 : n - LEAST_SIDE])
    at = int(np.argmax(inner)) + LEAST_SIDE
    statistic = float(np.abs(ahead).max())
    return at, min(1.0, 2 * math.exp(-6 * statistic**2 / (n**3 + n**2)))
