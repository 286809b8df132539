"""A number with its spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import ArrayLike

#: The percentiles that a band names.
PERCENTILES = (10.0, 50.0, 90.0)
#: 8 chances in 10 of a normal distribution lie within so many standard deviations.
EIGHT_IN_TEN_SD = 1.2816


@dataclass(frozen=True, slots=True)
class Band:
    """Three percentiles of the members of a spread.

    Parameters
    ----------
    low, mid, high : float or None
        10th, 50th and 90th percentile over members, ``low <= mid <= high`` as
        numbers (for temperatures low is the colder). None where unknown.
    unknown : float, optional
        Hours or nights that could not be judged, counted apart.
    """

    low: float | None
    mid: float | None
    high: float | None
    unknown: float | None = None

    @classmethod
    def of(cls, members: ArrayLike, *, unknown: float | None = None) -> Band:
        """Return the band of an array of members; NaN members are left out.

        With no finite member all three numbers are None.
        """
        values = np.asarray(members, dtype=float).ravel()
        values = values[np.isfinite(values)]
        if values.size == 0:
            return cls(None, None, None, unknown)
        rising = np.sort(values).tolist()
        low, mid, high = (_percentile(rising, p) for p in PERCENTILES)
        return cls(low, mid, high, unknown)

    def rounded(self, digits: int) -> Band:
        """Return the band with its three numbers rounded; `unknown` stays."""

        def cut(x: float | None) -> float | None:
            return None if x is None else round(x, digits) + 0.0  # no minus zero

        return Band(cut(self.low), cut(self.mid), cut(self.high), self.unknown)

    @classmethod
    def exact(cls, value: float, *, unknown: float | None = None) -> Band:
        """Return a band without spread."""
        return cls(value, value, value, unknown)


def _percentile(rising: list[float], percent: float) -> float:
    """Return a percentile of sorted numbers, as `numpy.percentile` does.

    Of few numbers that takes fifty times as long, and an answer has hundreds of bands.
    """
    at = percent / 100.0 * (len(rising) - 1)
    i = int(at)
    low, high, part = rising[i], rising[min(i + 1, len(rising) - 1)], at - i
    step = high - low
    return low + step * part if part < 0.5 else high - step * (1.0 - part)
