"""Which nights are too cold for a plant: the one input of months, dates and verdict."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.exposure.nights import COVERAGE, Nights

Bool = NDArray[np.bool_]
Float = NDArray[np.floating]
Int = NDArray[np.int64]


@dataclass(frozen=True)
class ColdNights:
    """Nights with at least one known hour below a limit, by winter and world.

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
    def of_places(cls, nights: Nights, limit_c: float) -> ColdNights:
        """Judge a table of nights whose cases are places, each with its own winters."""
        pooled = cls.of(nights, limit_c)
        counts = {y: cases for y, cases in nights.winters().items() if cases.any()}
        return replace(
            pooled,
            winters=np.array(list(counts), dtype=np.int64),
            counted=np.array(list(counts.values()), bool).reshape(-1, pooled.members),
        )

    @classmethod
    def of(
        cls, nights: Nights, limit_c: float, lowest_c: Float | None = None
    ) -> ColdNights:
        """Judge a table of nights against a limit.

        Parameters
        ----------
        nights : Nights
        limit_c : float
            A night is cold strictly below it. [°C]
        lowest_c : ndarray, shape (night, member), optional
            Judged in place of the table's own lowest temperatures.
        """
        lowest = nights.lowest_c if lowest_c is None else lowest_c
        cold = lowest < limit_c
        counted = [y for y, cases in nights.winters().items() if cases.mean() >= 0.5]
        return cls(
            cold,
            ~cold & ~nights.valid,
            nights.month,
            nights.growing_year,
            nights.day_of_season,
            np.array(counted, dtype=np.int64),
            nights.north,
        )

    @property
    def members(self) -> int:
        """Number of worlds."""
        return int(self.cold.shape[1])

    def world(self, member: int) -> ColdNights:
        """Return one world alone."""
        pick = slice(member, member + 1)
        return ColdNights(
            self.cold[:, pick],
            self.unknown[:, pick],
            self.month,
            self.year,
            self.day,
            self.winters,
            self.north,
        )

    def only(self, winters: Int) -> ColdNights:
        """Return the same nights with only some winters counting."""
        return ColdNights(
            self.cold,
            self.unknown,
            self.month,
            self.year,
            self.day,
            winters,
            self.north,
        )

    @cached_property
    def first_and_last(self) -> tuple[Float, Float]:
        """First and last cold night of each counted winter, shape (winter, member).

        As days of the growing year; +inf and -inf where a winter has none; NaN where
        too few of the nights before the first (after the last) could be judged.
        """
        shape = (len(self.winters), self.members)
        first, last = np.full(shape, np.inf), np.full(shape, -np.inf)
        for i, year in enumerate(self.winters):
            rows = np.flatnonzero(self.year == year)
            day, cold = self.day[rows][:, None], self.cold[rows]
            first[i] = np.where(cold, day, np.inf).min(axis=0)
            last[i] = np.where(cold, day, -np.inf).max(axis=0)
            judged = ~self.unknown[rows]
            length = 365.0
            before = (judged & (day < first[i])).sum(axis=0)
            first[i][before < COVERAGE * np.minimum(first[i], length)] = np.nan
            after = (judged & (day > last[i])).sum(axis=0)
            left = np.minimum(length - 1 - last[i], length) - 1
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

    def spells(self, *, apart: int = 3) -> tuple[Float, Float]:
        """Return spells of cold nights a winter and the longest spell, in nights.

        Parameters
        ----------
        apart : int
            Cold nights fewer than this many nights apart are one spell: nobody
            carries a plant out for two nights.

        Returns
        -------
        count, longest : ndarray, shape (winter, member)
        """
        shape = (len(self.winters), self.members)
        count, longest = np.zeros(shape), np.zeros(shape)
        for i, year in enumerate(self.winters):
            rows = self.year == year
            cold = self.cold[rows]
            day = np.where(cold, self.day[rows][:, None].astype(float), -np.inf)
            seen = np.maximum.accumulate(day, axis=0)
            before = np.vstack([np.full((1, self.members), -np.inf), seen[:-1]])
            with np.errstate(invalid="ignore"):
                starts = cold & ~(day - before <= apart)
            begun = np.maximum.accumulate(np.where(starts, day, -np.inf), axis=0)
            count[i] = starts.sum(axis=0)
            with np.errstate(invalid="ignore"):
                lengths = np.where(cold, day - begun + 1, 0.0)
            longest[i] = lengths.max(axis=0, initial=0.0)
        return count, longest
