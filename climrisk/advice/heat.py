"""Whether a spot is too hot for a plant, in the months the plant is there."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.limits import PlantLimits
from climrisk.advice.medians import known_median, median
from climrisk.core.arrays import Float
from climrisk.core.quantities import temperature
from climrisk.exposure.hours import Exposure
from climrisk.exposure.nights import COVERAGE, Nights
from climrisk.plants.model import LimitRow

HeatKind = Literal["ceiling", "advised_top", "warm_night"]

#: A published limit rules a spot out where the median year passes it in more hours (of
#: a ceiling, an advised day maximum) or on more nights than these; a value from memory
#: only beyond the second ones (our estimates, checked against what growers say).
TOO_MANY: dict[HeatKind, tuple[float, float]] = {
    "ceiling": (200.0, 600.0),
    "advised_top": (600.0, 600.0),
    "warm_night": (60.0, 120.0),
}
#: From so many on, heat is worth a warning (our estimates: six afternoons, forty
#: afternoons, a week of nights).
WORTH_A_WARNING: dict[HeatKind, float] = {
    "ceiling": 30.0,
    "advised_top": 200.0,
    "warm_night": 7.0,
}
#: Of what would be too hot, a retreat leaves at most this share (our estimate).
_LEFT_AFTER_RETREAT = 0.5
_WORDS: dict[HeatKind, str] = {
    "ceiling": "hours above {limit} (its upper limit)",
    "advised_top": "hours above {limit} (its advised day maximum)",
    "warm_night": "nights above {limit} (too warm for it)",
}


class AllowedHeat(NamedTuple):
    """A heat limit of a plant: its kind, its value, and how often it may be passed."""

    kind: HeatKind
    value_c: float
    most: float


def heat_rows(limits: PlantLimits) -> list[tuple[HeatKind, LimitRow]]:
    """Return the kinds and rows of a plant's heat limits."""
    rows = ((kind, getattr(limits, kind)) for kind in TOO_MANY)
    return [(kind, row) for kind, row in rows if row is not None]


def heat_limits(limits: PlantLimits) -> tuple[AllowedHeat, ...]:
    """Return the heat limits of a plant."""
    return tuple(
        AllowedHeat(kind, row.value, _most(kind, row))
        for kind, row in heat_rows(limits)
    )


def _most(kind: HeatKind, row: LimitRow) -> float:
    return TOO_MANY[kind][0 if row.firm else 1]


def warm_nights(nights: Nights, limit_c: float) -> Float:
    """Count the nights that stay above a limit, shape (year, 12, case).

    Of each growing year from the first to the last; month index 0 is January. Nights
    that cannot be judged are not counted.
    """
    year = nights.growing_year - nights.growing_year[0]
    month = 12 * year + nights.month
    first = np.flatnonzero(np.diff(month, prepend=month[0] - 1))
    warm = nights.above(limit_c)
    counts = np.zeros((int(year[-1]) + 1, 12, warm.shape[1]))
    sums = np.add.reduceat(warm, first, axis=0, dtype=np.int32)
    counts[year[first], nights.month[first] - 1] = sums
    return counts


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

    kind: HeatKind
    row: LimitRow
    counts: Float
    # Counts that were asked for: searching a retreat asks for many, often.
    _typical: dict[tuple[int, ...], float] = field(
        default_factory=dict, repr=False, compare=False
    )

    def typical(self, months: Collection[int] = range(1, 13)) -> float | None:
        """Return the count of the median year in some months; None without a year."""
        if len(self.counts) == 0:
            return None
        pick = tuple(m - 1 for m in months)
        if pick not in self._typical:
            of_years = self.counts[:, pick].sum(axis=1)
            self._typical[pick] = float(median(of_years.ravel()))
        return self._typical[pick]

    @property
    def limit(self) -> float:
        """The count beyond which the spot is ruled out."""
        return _most(self.kind, self.row)

    def too_hot(self, months: Collection[int]) -> bool:
        """Whether heat rules the spot out for a plant that is there in some months."""
        return (self.typical(months) or 0.0) > self.limit

    def words(self, months: Collection[int]) -> str:
        """Return the count as words."""
        what = _WORDS[self.kind].format(limit=temperature(self.row.value))
        return f"{self.typical(months) or 0.0:,.0f} {what}"


@dataclass(frozen=True)
class HeatCounts:
    """All heat limits of a plant at a spot."""

    counts: tuple[HeatCount, ...] = ()

    def too_hot(self, months: Collection[int] = range(1, 13)) -> tuple[HeatCount, ...]:
        """Return the limits that rule the spot out."""
        return tuple(c for c in self.counts if c.too_hot(months))

    def too_hot_with(
        self, months: Collection[int], other: HeatCounts, away: Collection[int]
    ) -> bool:
        """Whether the year is too hot with some months spent at another place.

        Parameters
        ----------
        months : collection of int
            Spent here.
        other : HeatCounts
            The same limits at the other place.
        away : collection of int
            Spent there.
        """
        return any(
            (here.typical(months) or 0.0) + (there.typical(away) or 0.0) > here.limit
            for here, there in zip(self.counts, other.counts, strict=True)
        )

    def warnings(self, months: Collection[int]) -> tuple[HeatCount, ...]:
        """Return the limits passed often enough for a word, without ruling it out."""
        return tuple(
            c
            for c in self.counts
            if WORTH_A_WARNING[c.kind] < (c.typical(months) or 0.0) <= c.limit
        )

    def member(self, index: int) -> HeatCounts:
        """Return one ensemble member alone."""
        pick = slice(index, index + 1)
        return HeatCounts(
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
                if not _follow(away):
                    continue
                left = self._left([m for m in order if m not in away])
                if left <= _LEFT_AFTER_RETREAT:
                    found.append((left, away))
            if found:
                return min(found)[1]
        return ()

    def _left(self, months: Sequence[int]) -> float:
        """Return the heat of some months as a share of what would be too hot."""
        return max((c.typical(months) or 0.0) / c.limit for c in self.counts)


def just_above(limit_c: float) -> float:
    """Return the least single-precision value above a limit.

    Hours that are not below it are hours above the limit.
    """
    return float(np.nextafter(np.float32(limit_c), np.float32(np.inf)))


@dataclass(frozen=True)
class PlacesHeat:
    """How often a heat limit is passed at many places.

    Parameters
    ----------
    limit : AllowedHeat
    counts : ndarray, shape (year, 12, place)
        Hours (nights for ``warm_night``) above it; month index 0 is January.
    whole : ndarray of bool, shape (year, place)
        Growing years that are whole and known well enough.
    """

    limit: AllowedHeat
    counts: Float
    whole: NDArray[np.bool_]

    @classmethod
    def of(cls, air: Exposure, limit: AllowedHeat) -> PlacesHeat:
        """Count in an exposure whose cases are places.

        Its thresholds hold `just_above` of each day limit.
        """
        if limit.kind == "warm_night":
            return cls._of_nights(air.nights, limit)
        k = int(np.flatnonzero(air.thresholds == just_above(limit.value_c))[0])
        above = air.expected[..., None] - air.unknown - air.hours[:, :, k]
        expected = air.expected.sum(axis=1)[:, None]
        known = air.unknown.sum(axis=1) <= (1 - COVERAGE) * expected
        return cls(limit, above, (expected >= 8760) & known)

    @classmethod
    def _of_nights(cls, nights: Nights, limit: AllowedHeat) -> PlacesHeat:
        counts = warm_nights(nights, limit.value_c)
        year = nights.growing_year - nights.growing_year[0]
        length = np.bincount(year)[:, None]
        begin = np.flatnonzero(np.diff(year, prepend=-1))
        known = np.add.reduceat(nights.valid, begin, axis=0, dtype=np.int32)
        return cls(limit, counts, (length >= 365) & (known >= COVERAGE * length))

    def typical(self, months: NDArray[np.bool_] | None = None) -> Float:
        """Return the count of the median year, shape (place,); NaN without a year.

        Parameters
        ----------
        months : ndarray of bool, shape (12, place), optional
            Only in these; row 0 is January.
        """
        counts = self.counts if months is None else np.where(months, self.counts, 0.0)
        return known_median(np.where(self.whole, counts.sum(axis=1), np.nan))

    def too_hot(self, months: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Return where heat rules the place out for a plant there in some months."""
        return np.asarray(np.nan_to_num(self.typical(months)) > self.limit.most)


def _follow(months: Sequence[int]) -> bool:
    return all(b == a % 12 + 1 for a, b in pairwise(months))
