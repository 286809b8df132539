"""Whether a spot is too hot for a plant, in the months the plant is there."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.plants.model import LimitRow

Float = NDArray[np.floating]
Kind = Literal["ceiling", "advised_top", "warm_night"]

#: A published limit rules a spot out where the median year passes it in more hours (of
#: a ceiling, an advised day maximum) or on more nights than these; a value from memory
#: only beyond the second ones (our estimates, checked against what growers say).
TOO_MANY: dict[Kind, tuple[float, float]] = {
    "ceiling": (200.0, 600.0),
    "advised_top": (600.0, 600.0),
    "warm_night": (60.0, 120.0),
}
#: From so many on, heat is worth a warning (our estimates: six afternoons, forty
#: afternoons, a week of nights).
WORTH_A_WARNING: dict[Kind, float] = {
    "ceiling": 30.0,
    "advised_top": 200.0,
    "warm_night": 7.0,
}
#: Of what would be too hot, a retreat leaves at most this share (our estimate).
_LEFT_AFTER_RETREAT = 0.5
_FIRM = ("published", "yours")
_WORDS: dict[Kind, str] = {
    "ceiling": "hours above {c:g} °C (its upper limit)",
    "advised_top": "hours above {c:g} °C (its advised day maximum)",
    "warm_night": "nights above {c:g} °C (too warm for it)",
}


@dataclass(frozen=True)
class HeatCount:
    """How often a limit is passed at a spot.

    Parameters
    ----------
    kind : str
    row : LimitRow
    counts : ndarray, shape (year, 12, member)
        Hours (nights for ``warm_night``) above it in whole growing years; month index 0
        is January. Without a whole year, no row.
    """

    kind: Kind
    row: LimitRow
    counts: Float

    def typical(self, months: Collection[int] = range(1, 13)) -> float | None:
        """Return the count of the median year in some months; None without a year."""
        if len(self.counts) == 0:
            return None
        pick = [m - 1 for m in months]
        return float(np.median(self.counts[:, pick].sum(axis=1)))

    @property
    def limit(self) -> float:
        """The count beyond which the spot is ruled out."""
        return TOO_MANY[self.kind][0 if self.row.basis in _FIRM else 1]

    def too_hot(self, months: Collection[int]) -> bool:
        """Whether heat rules the spot out for a plant that is there in some months."""
        return (self.typical(months) or 0.0) > self.limit

    def words(self, months: Collection[int]) -> str:
        """Return the count as words."""
        what = _WORDS[self.kind].format(c=self.row.value)
        return f"{self.typical(months) or 0.0:,.0f} {what}"


@dataclass(frozen=True)
class Heat:
    """All heat limits of a plant at a spot."""

    counts: tuple[HeatCount, ...] = ()

    def too_hot(self, months: Collection[int] = range(1, 13)) -> tuple[HeatCount, ...]:
        """Return the limits that rule the spot out."""
        return tuple(c for c in self.counts if c.too_hot(months))

    def warnings(self, months: Collection[int]) -> tuple[HeatCount, ...]:
        """Return the limits passed often enough for a word, without ruling it out."""
        return tuple(
            c
            for c in self.counts
            if WORTH_A_WARNING[c.kind] < (c.typical(months) or 0.0) <= c.limit
        )

    def member(self, index: int) -> Heat:
        """Return one ensemble member alone."""
        pick = slice(index, index + 1)
        return Heat(
            tuple(HeatCount(c.kind, c.row, c.counts[..., pick]) for c in self.counts)
        )

    def retreat(self, months: Sequence[int]) -> tuple[int, ...]:
        """Return the months to spend elsewhere so that the rest is not too hot.

        The shortest stretch that leaves at most half of what would be too hot; (),
        where none does.

        Parameters
        ----------
        months : sequence of int
            Months at the spot, in the order of the growing year.
        """
        order = list(months)
        n = len(order)
        for length in range(1, n):
            found = []
            for start in range(n):
                away = tuple(order[(start + i) % n] for i in range(length))
                stay = [m for m in order if m not in away]
                left = self._left(stay)
                if _follow(away) and left <= _LEFT_AFTER_RETREAT:
                    found.append((left, away))
            if found:
                return min(found)[1]
        return ()

    def _left(self, months: Sequence[int]) -> float:
        """Return the heat of some months as a share of what would be too hot."""
        return max((c.typical(months) or 0.0) / c.limit for c in self.counts)


def _follow(months: Sequence[int]) -> bool:
    return all(b == a % 12 + 1 for a, b in pairwise(months))
