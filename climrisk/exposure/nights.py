"""The table of nights: lowest temperature, drop, what is known of each."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Float
from climrisk.core.calendar import WINTER_MONTHS, Seasons

#: Share of the hours from sunset to an hour after sunrise that must be known.
COVERAGE = 0.8


@dataclass(frozen=True)
class Nights:
    """One row a night, noon to noon, dated by its evening.

    Parameters
    ----------
    evening : ndarray of int, shape (night,)
        Local standard date of the evening, in days since 1970-01-01.
    month, growing_year, day_of_season : ndarray of int, shape (night,)
        Of the evening; the day of season counts from the growing year's first day.
    lowest_c : ndarray of float, shape (night, case)
        Lowest known hour; NaN where no hour is known.
    day_highest_c : ndarray of float, shape (night, case)
        Highest hour of the evening's date, 00-24 standard time; NaN where unknown.
    valid : ndarray of bool, shape (night, case)
        Whether 80 % of the dark hours are known: the night counts.
    north : bool
    """

    evening: NDArray[np.int64]
    month: NDArray[np.int64]
    growing_year: NDArray[np.int64]
    day_of_season: NDArray[np.int64]
    lowest_c: Float
    day_highest_c: Float
    valid: Bool
    north: bool

    @classmethod
    def of(
        cls,
        dark_hours: NDArray[np.int16],
        lost: NDArray[np.int16],
        lowest: Float,
        day_highest: Float,
        seasons: Seasons,
    ) -> Nights:
        """Return the table from the arrays of one pass; see `exposure.hours`.

        Dark hours have the shape (night, 1), or (night, case) for many places; of
        these `lost` are unknown.

        A first or last night that the record cuts has fewer dark hours than its
        neighbors; it counts only if the record holds 80 % of a whole night.
        """
        whole = dark_hours.copy()
        if len(whole) > 2:
            whole[0] = np.maximum(whole[0], whole[1])
            whole[-1] = np.maximum(whole[-1], whole[-2])
        # Whole hours are compared: of many cases that takes a third of the time.
        least = np.ceil(COVERAGE * whole).astype(np.int16)
        valid = dark_hours - lost >= least
        # Beyond the polar circle a summer night has no dark hour: any known hour does.
        known = np.isfinite(lowest)
        if not known.all():
            valid &= known
            lowest = np.where(known, lowest, np.nan)
        at = seasons.evenings
        return cls(
            *(at.day, at.month, at.growing_year, at.day_of_season),
            lowest,
            day_highest,
            valid,
            seasons.north,
        )

    def __len__(self) -> int:
        return len(self.evening)

    @cached_property
    def by_warmth(self) -> NDArray[np.intp]:
        """The cases from the one with the coldest nights to the warmest."""
        return by_warmth(self.lowest_c)

    @property
    def drop_k(self) -> Float:
        """Day maximum minus the following night's lowest, shape (night, case). [K]"""
        return np.where(self.valid, self.day_highest_c - self.lowest_c, np.nan)

    def below(self, limit_c: float) -> tuple[Bool, Bool]:
        """Return which nights are cold and which cannot be judged, (night, case).

        A night with one known hour below the limit is cold even if it does not
        count; one without such an hour that does not count is unknown.
        """
        cold = self.lowest_c < limit_c
        return cold, ~cold & ~self.valid

    def above(self, limit_c: float) -> Bool:
        """Return the counted nights that stay above a limit, shape (night, case)."""
        return np.asarray((self.lowest_c > limit_c) & self.valid)

    def longest_run(
        self, limit_c: float, rows: Bool | None = None
    ) -> NDArray[np.int64]:
        """Return the longest run of cold nights, shape (3, case): low, mid, high.

        An unknown night ends a run (low), neither joins nor ends it (mid), or joins
        it (high). Runs are sought among `rows`, nights in a row; in all if not given.
        """
        cold, unknown = self.below(limit_c)
        if rows is not None:
            cold, unknown = cold[rows], unknown[rows]
        # Each case's nights side by side, as they are summed.
        cold, unknown = (np.ascontiguousarray(x.T) for x in (cold, unknown))
        low = _longest(cold, ~cold)
        if not unknown.any():
            return np.stack([low, low, low])
        ended = ~(cold | unknown)
        mid, high = _longest(cold, ended), _longest(cold | unknown, ended)
        return np.stack([low, mid, high])

    @cached_property
    def none_unknown(self) -> Bool | None:
        """No night marked, shape (night, case), where every one counts; else None."""
        return np.zeros_like(self.valid) if self.valid.all() else None

    @cached_property
    def gaps(self) -> NDArray[np.int64]:
        """Rows of nights that do not count in every case."""
        return np.flatnonzero(~self.valid.all(axis=1))

    @cached_property
    def winters(self) -> dict[int, Bool]:
        """By growing year, which cases have a winter that counts.

        A winter counts when at least 80 % of its nights from November to March (May
        to September in the south) count.
        """
        expected = 151 if self.north else 153
        wintry = np.isin(self.month, WINTER_MONTHS[self.north])
        out = {}
        for year in np.unique(self.growing_year):
            known = self.valid[(self.growing_year == year) & wintry].sum(axis=0)
            out[int(year)] = known >= COVERAGE * expected
        return out

    @cached_property
    def counted_winters(self) -> NDArray[np.int64]:
        """Growing years whose winter counts in at least half of the cases."""
        years = [y for y, cases in self.winters.items() if cases.mean() >= 0.5]
        return np.array(years, dtype=np.int64)


def _longest(joins: Bool, ends: Bool) -> NDArray[np.int64]:
    """Return the most nights that join between two that end, shape (case,).

    Parameters
    ----------
    joins, ends : ndarray of bool, shape (case, night)
    """
    count = np.cumsum(joins, axis=1, dtype=np.int32)
    at_end = np.where(ends, count, np.int32(0))
    np.maximum.accumulate(at_end, axis=1, out=at_end)
    np.subtract(count, at_end, out=count)
    longest: NDArray[np.int64] = count.max(axis=1, initial=0).astype(np.int64)
    return longest


def by_warmth(lowest_c: Float) -> NDArray[np.intp]:
    """Return the cases (night, case) from the coldest on the mean to the warmest."""
    return np.argsort(np.nanmean(lowest_c, axis=0), kind="stable")
