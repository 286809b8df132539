"""Nights below a plant's limit: what months, dates and verdict are judged by."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property, lru_cache

import numpy as np

from climrisk.core.arrays import Bool, Float, Int
from climrisk.core.calendar import WINTER_MONTHS, season_date, season_months
from climrisk.exposure.nights import COVERAGE, Nights

#: Fewer winters than this give no date and no verdict.
LEAST_WINTERS = 3
#: A month counts as safe with a cold night in at most this share of years and members.
_RARE = 0.02
#: A day that no growing year has.
_NEVER = np.int16(9999)
#: So many missing nights of a month are worth naming it.
_MANY_NIGHTS = 7


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
    gaps : ndarray of int, optional
        Rows of all nights that are unknown in some case, and perhaps of others.
    """

    cold: Bool
    unknown: Bool
    month: Int
    year: Int
    day: Int
    winters: Int
    north: bool
    counted: Bool | None = None
    gaps: Int | None = None

    @classmethod
    def of_places(
        cls, nights: Nights, limit_c: float, *, exempt: Bool | None = None
    ) -> ColdNights:
        """Judge a table of nights whose cases are places, each with its own winters."""
        pooled = cls.of(nights, limit_c, exempt=exempt)
        counts = {y: cases for y, cases in nights.winters.items() if cases.any()}
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
        unknown = nights.none_unknown
        if unknown is None:
            unknown = ~(cold | nights.valid)
        if exempt is not None:
            cold = cold & ~exempt
        return cls(
            cold,
            unknown,
            nights.month,
            nights.growing_year,
            nights.day_of_season,
            nights.counted_winters,
            nights.north,
            gaps=nights.gaps,
        )

    @property
    def members(self) -> int:
        """Number of ensemble members."""
        return int(self.cold.shape[1])

    def member(self, index: int) -> ColdNights:
        """Return one ensemble member alone."""
        pick = slice(index, index + 1)
        one = replace(self, cold=self.cold[:, pick], unknown=self.unknown[:, pick])
        cold, lost = self.by_month
        # Its months are counted already.
        vars(one)["by_month"] = cold[:, pick], lost[:, pick]
        vars(one)["first_of_months"] = self.first_of_months
        return one

    def without(self, exempt: Bool) -> ColdNights:
        """Return the nights with exempt ones not counting as cold."""
        return replace(self, cold=self.cold & ~exempt)

    def only(self, winters: Int) -> ColdNights:
        """Return the same nights with only some winters counting."""
        return replace(self, winters=winters)

    @cached_property
    def first_of_months(self) -> Int:
        """First night of each month of the record, shape (month,)."""
        group = self.year * 12 + self.month - 1
        return np.flatnonzero(np.diff(group, prepend=group[:1] - 1))

    @cached_property
    def by_month(self) -> tuple[Int, Int]:
        """Cold and unknown nights of each month of the record, (month, member)."""
        first, gaps = self.first_of_months, self.unknown_rows
        cold = _sums(self.cold, first)
        if len(gaps) > len(self.cold) // 16:
            return cold, _sums(self.unknown, first)
        lost = np.zeros_like(cold)
        month = np.searchsorted(first, gaps, side="right") - 1
        np.add.at(lost, month, self.unknown[gaps])
        return cold, lost

    @cached_property
    def unknown_rows(self) -> Int:
        """Rows of nights that may be unknown in some case."""
        if self.gaps is None:
            return np.flatnonzero(self.unknown.any(axis=1))
        return self.gaps

    @cached_property
    def _safe_days(self) -> Bool:
        """Days of months that are hardly ever cold, shape (365, member).

        Such a month is known in three years or more, by 80 % of their nights, and has a
        cold night in at most 2 of 100 (all members together; each place alone, where
        cases are places), or lies unknown between such months of the warm half of the
        year. A gap there hides no cold night.
        """
        month_of = _month_of_days(north=self.north)
        first = self.first_of_months
        cold_nights, lost = self.by_month
        row = self.month[first] - 1
        length = np.bincount(month_of - 1, minlength=12)[row][:, None]
        enough = np.diff(first, append=len(self.month))[:, None] - lost
        full, chilly = enough >= COVERAGE * length, cold_nights > 0
        months = np.bincount(row, minlength=12)[:, None]
        if self.counted is None:
            full = np.asarray(full.all(axis=1, keepdims=True))
            chilly = chilly.sum(axis=1, keepdims=True)
            months = months * self.members

        def total(x: Bool | Int) -> Int:
            out = np.zeros((12, x.shape[1]), np.int64)
            np.add.at(out, row, x)
            return out

        cold = total(chilly)
        ever, known = cold > 0, total(full) >= LEAST_WINTERS
        safe = known & (cold / np.maximum(months, 1) <= _RARE)
        safe |= between_safe(safe, ~known, north=self.north) & ~ever
        return np.broadcast_to(safe[month_of - 1], (365, self.members))

    @cached_property
    def first_and_last(self) -> tuple[Float, Float]:
        """First and last cold night of each counted winter, shape (winter, member).

        As days of the growing year; +inf and -inf where a winter has none; NaN where
        too few of the nights before the first (after the last) could be judged. Nights
        missing in months that other years, or the months around them, show to be safe
        count as judged.
        """
        begin = np.flatnonzero(np.diff(self.year, prepend=self.year[:1] - 1))
        at = np.searchsorted(self.year[begin], self.winters)
        day = self.day.astype(np.int16)[:, None]
        # Days of a growing year rise from night to night.
        early, late = (
            extreme.reduceat(np.where(self.cold, day, none), begin, axis=0)[at]
            for extreme, none in ((np.minimum, _NEVER), (np.maximum, -_NEVER))
        )
        first = np.where(early == _NEVER, np.inf, early)
        last = np.where(late == -_NEVER, -np.inf, late)
        length = np.diff(begin, append=len(self.year))[at]
        missing = (length < 365) | np.isin(self.winters, self.year[self.unknown_rows])
        for i in np.flatnonzero(missing):
            judged = self._judged(self.winters[i])
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

    def _rows(self, year: int) -> slice:
        """Return the nights of a growing year, which follow one another."""
        first, stop = np.searchsorted(self.year, (year, year + 1))
        return slice(int(first), int(stop))

    def _judged(self, year: int) -> Bool:
        """Return the days of a growing year that could be judged, (365, member)."""
        rows = self._rows(year)
        judged = self._safe_days.copy()
        judged[self.day[rows]] |= ~self.unknown[rows]
        return judged

    def missing_months(self, *, autumn: bool) -> tuple[int, ...]:
        """Return the months whose missing nights leave winters without a date.

        Parameters
        ----------
        autumn : bool
            Before the first cold night, else after the last.
        """
        dates = self.first_and_last[0 if autumn else 1]
        month_of = _month_of_days(north=self.north)
        day = np.arange(365)
        lost = np.zeros(365, dtype=bool)
        for year, date in zip(self.winters, dates, strict=True):
            if np.isnan(date).any():
                lost |= ~self._judged(year).all(axis=1)
        # Up to the middle of the winter, or from there on.
        turn = np.median(day[np.isin(month_of, WINTER_MONTHS[self.north])])
        lost &= day < turn if autumn else day > turn
        months = month_of[lost].tolist()
        count = {m: months.count(m) for m in dict.fromkeys(months)}
        return tuple(m for m, nights in count.items() if nights >= _MANY_NIGHTS)

    def winters_with_cold(self) -> Float:
        """Return the number of counted winters with a cold night, shape (member,)."""
        total = np.zeros(self.members)
        for i, year in enumerate(self.winters):
            some = self.cold[self._rows(year)].any(axis=0)
            total += some if self.counted is None else some & self.counted[i]
        return total


def _sums(marks: Bool, first: Int) -> Int:
    """Return the marks of months that begin at some nights, (month, member)."""
    # In bytes, as they are held: no month has more than 31 nights.
    sums = np.add.reduceat(marks.view(np.uint8), first, axis=0, dtype=np.uint8)
    return sums.astype(np.int64)


@lru_cache(maxsize=2)
def _month_of_days(*, north: bool) -> Int:
    """Return the month of each day of the growing year, shape (365,)."""
    return np.array([season_date(d, north=north)[0] for d in range(365)])


def between_safe(safe: Bool, unknown: Bool, *, north: bool) -> Bool:
    """Return unknown months of the warm half of the year that lie between safe ones.

    Nights grow warmer from spring to summer and colder after it, so that months between
    two safe ones are at least as safe.

    Parameters
    ----------
    safe, unknown : ndarray of bool, shape (12, place)
        Row 0 is January.
    north : bool
    """
    inside = unknown.copy()
    if not unknown.any():
        return inside
    order = season_months(north=north)
    winter = np.isin(np.arange(1, 13), WINTER_MONTHS[north])[:, None]
    known = np.asarray(safe & ~unknown)
    for months in (order, order[::-1]):
        reached = np.zeros_like(safe)
        for month, before in zip(2 * months, (months[-1], *2 * months), strict=False):
            carried = unknown[month - 1] & ~winter[month - 1] & reached[before - 1]
            reached[month - 1] = known[month - 1] | carried
        inside &= reached
    return inside
