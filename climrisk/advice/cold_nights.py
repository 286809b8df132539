"""Nights below a plant's limit: what months, dates and verdict are judged by."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.exposure.nights import COVERAGE, Nights
from climrisk.seasons import season_date

Bool = NDArray[np.bool_]
Float = NDArray[np.floating]
Int = NDArray[np.int64]

#: Fewer winters than this give no date and no verdict.
LEAST_WINTERS = 3


@dataclass(frozen=True)
class ColdNights:
    """Nights with at least one known hour below a limit.

    Parameters
    ----------
    cold, unknown : ndarray of bool, shape (night, member)
        A night may be neither: known and not cold.
    month, year, day : ndarray of int, shape (night,)
        Month of the evening, starting year of its growing year, and days since that
        growing year's first day.
    winters : ndarray of int, shape (winter,)
        Growing years whose winter counts; one without a cold night stays in.
    north : bool
    counted : ndarray of bool, shape (winter, place), optional
        Where cases are places: which of the winters counts at which.
    """

    cold: Bool
    unknown: Bool
    month: Int
    year: Int
    day: Int
    winters: Int
    north: bool
    counted: Bool | None = None

    @classmethod
    def of_places(
        cls, nights: Nights, limit_c: float, *, exempt: Bool | None = None
    ) -> ColdNights:
        """Judge a table of nights whose cases are places, each with its own winters."""
        pooled = cls.of(nights, limit_c, exempt=exempt)
        counts = {y: cases for y, cases in nights.winters().items() if cases.any()}
        return replace(
            pooled,
            winters=np.array(list(counts), dtype=np.int64),
            counted=np.array(list(counts.values()), bool).reshape(-1, pooled.members),
        )

    @classmethod
    def of(
        cls,
        nights: Nights,
        limit_c: float,
        lowest_c: Float | None = None,
        *,
        exempt: Bool | None = None,
    ) -> ColdNights:
        """Judge a table of nights against a limit.

        Parameters
        ----------
        nights : Nights
        limit_c : float
            A night is cold strictly below it. [°C]
        lowest_c : ndarray, shape (night, member), optional
            Judged in place of the table's own lowest temperatures.
        exempt : ndarray of bool, shape (night, member), optional
            Nights that do not count as cold: of a cool rest or of wanted cold.
        """
        lowest = nights.lowest_c if lowest_c is None else lowest_c
        cold = lowest < limit_c
        judged = cold | nights.valid
        if exempt is not None:
            cold = cold & ~exempt
        counted = [y for y, cases in nights.winters().items() if cases.mean() >= 0.5]
        return cls(
            cold,
            ~judged,
            nights.month,
            nights.growing_year,
            nights.day_of_season,
            np.array(counted, dtype=np.int64),
            nights.north,
        )

    @property
    def members(self) -> int:
        """Number of ensemble members."""
        return int(self.cold.shape[1])

    def member(self, index: int) -> ColdNights:
        """Return one ensemble member alone."""
        pick = slice(index, index + 1)
        return replace(self, cold=self.cold[:, pick], unknown=self.unknown[:, pick])

    def without(self, exempt: Bool) -> ColdNights:
        """Return the nights with exempt ones not counting as cold."""
        return replace(self, cold=self.cold & ~exempt)

    def only(self, winters: Int) -> ColdNights:
        """Return the same nights with only some winters counting."""
        return replace(self, winters=winters)

    @cached_property
    def _safe_days(self) -> Bool:
        """Return days of months that are never cold, shape (365, member).

        Known in at least three years, by 80 % of their nights, and without a cold night
        in any year or member (at that place, where cases are places). A gap there hides
        no cold night.
        """
        cold, lost = self.cold, self.unknown
        if self.counted is None:
            cold, lost = (
                np.asarray(x.any(axis=1, keepdims=True)) for x in (cold, lost)
            )
        month_of = np.array([season_date(d, north=self.north)[0] for d in range(365)])
        first = np.flatnonzero(np.diff(self.month, prepend=0))
        known = np.add.reduceat(~lost, first, axis=0, dtype=np.int32)
        chilly = np.logical_or.reduceat(cold, first, axis=0)
        safe = np.zeros((365, cold.shape[1]), dtype=bool)
        for month in range(1, 13):
            rows, days = self.month[first] == month, month_of == month
            years = (known[rows] >= COVERAGE * days.sum()).sum(axis=0)
            safe[days] = (years >= LEAST_WINTERS) & ~chilly[rows].any(axis=0)
        return np.broadcast_to(safe, (365, self.members))

    @cached_property
    def first_and_last(self) -> tuple[Float, Float]:
        """First and last cold night of each counted winter, shape (winter, member).

        As days of the growing year; +inf and -inf where a winter has none; NaN where
        too few of the nights before the first (after the last) could be judged. Nights
        missing in months that other years show to be safe count as judged.
        """
        shape = (len(self.winters), self.members)
        first, last = np.full(shape, np.inf), np.full(shape, -np.inf)
        for i, year in enumerate(self.winters):
            rows = np.flatnonzero(self.year == year)
            day, cold = self.day[rows], self.cold[rows]
            some = cold.any(axis=0)
            first[i] = np.where(some, day[cold.argmax(axis=0)], np.inf)
            last[i] = np.where(some, day[::-1][cold[::-1].argmax(axis=0)], -np.inf)
            unknown = self.unknown[rows]
            if len(rows) >= 365 and not unknown.any():
                continue  # nothing is missing
            judged = self._safe_days.copy()
            judged[day] |= ~unknown
            each = np.arange(365)[:, None]
            before = (judged & (each < first[i])).sum(axis=0)
            first[i][before < COVERAGE * np.minimum(first[i], 365.0)] = np.nan
            after = (judged & (each > last[i])).sum(axis=0)
            left = np.minimum(364.0 - last[i], 365.0) - 1
            last[i][after < COVERAGE * left] = np.nan
        if self.counted is not None:
            first[~self.counted] = np.nan
            last[~self.counted] = np.nan
        return first, last

    def winters_with_cold(self) -> Float:
        """Return the number of counted winters with a cold night, shape (member,)."""
        total = np.zeros(self.members)
        for i, year in enumerate(self.winters):
            some = self.cold[self.year == year].any(axis=0)
            total += some if self.counted is None else some & self.counted[i]
        return total
