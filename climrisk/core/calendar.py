"""Nights, months and growing years in local standard time.

A *night* runs from noon to noon of local standard time and is dated by its evening.
A *growing year* keeps every winter whole: July to June in the north (``2019/20``),
January to December in the south (``2020``). An hour is labelled by its start and
belongs to the local-standard day and month of that start.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from functools import cached_property, lru_cache
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Int
from climrisk.core.chunked import night_sums
from climrisk.core.errors import InputError
from climrisk.core.references import field

Minutes = NDArray[np.datetime64]

#: Months of the winter whose nights decide whether a winter counts.
WINTER_MONTHS = {True: (11, 12, 1, 2, 3), False: (5, 6, 7, 8, 9)}
#: Months of growth, in the north and in the south.
GROWING_MONTHS = {True: (5, 6, 7, 8, 9, 10), False: (11, 12, 1, 2, 3, 4)}
#: Days of the months of a year without a leap day.
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
#: Hours of a mean year.
YEAR_H = 8766.0
# Days before each month of a common year.
_MONTH_START = np.cumsum([0, 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30])


def today_here() -> date:
    """Return today by this machine's clock and zone."""
    return datetime.now(UTC).astimezone().date()


def day_of(day: str | date) -> date:
    """Return a day from a date or ``YYYY-MM-DD``.

    Raises
    ------
    InputError
        A text that is no date.
    """
    if isinstance(day, date):
        return day
    try:
        return date.fromisoformat(day)
    except ValueError as error:
        raise InputError("not a date", value=day, allowed="YYYY-MM-DD") from error


def known_zone(zone: str) -> ZoneInfo:
    """Return a time zone by its name.

    Raises
    ------
    InputError
        Where the zone is not in the time zone database.
    """
    try:
        return ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError, OSError) as error:
        raise InputError(
            "unknown time zone",
            where=field("zone"),
            value=zone,
            allowed="names of the IANA time zone database",
            next_step="write a name such as Europe/Zagreb or Etc/GMT-1",
        ) from error


@lru_cache(maxsize=64)
def standard_offset_min(zone: str, year: int) -> int:
    """Return the offset of a zone's standard (winter) time from UTC in minutes.

    Parameters
    ----------
    zone : str
        IANA name, such as ``Europe/Zagreb``.
    year : int
        The year asked for; the smaller offset of January and July is standard time.

    Raises
    ------
    InputError
        Where the zone is not in the time zone database.
    """
    info = known_zone(zone)
    offsets = []
    for month in (1, 7):
        offset = datetime(year, month, 1, tzinfo=info).utcoffset()
        offsets.append(offset or timedelta(0))
    return int(min(offsets) // timedelta(minutes=1))


def growing_year_label(start_year: int, *, north: bool) -> str:
    """Return ``2019/20`` (north) or ``2020`` (south) for the year it starts in."""
    return f"{start_year}/{(start_year + 1) % 100:02d}" if north else str(start_year)


def growing_year_start(year: int, *, north: bool) -> date:
    """Return the first day of the growing year that starts in `year`."""
    return date(year, 7 if north else 1, 1)


def growing_year_of(day: date, *, north: bool) -> int:
    """Return the year in which the growing year of a day starts."""
    return day.year - (1 if north and day.month < 7 else 0)


def season_months(*, north: bool) -> tuple[int, ...]:
    """Return the twelve months in the order of the growing year."""
    first = 7 if north else 1
    return tuple((first + i - 1) % 12 + 1 for i in range(12))


@dataclass(frozen=True)
class Stretches:
    """Runs of hours that share night, day and month: half days, as a rule.

    Parameters
    ----------
    edges : ndarray of int, shape (stretch + 1,)
        Index of each stretch's first hour; the last is the end.
    group : ndarray of int, shape (stretch,)
        12 times the growing year's place in the record, plus month minus 1.
    night, day : ndarray of int, shape (stretch,)
        Place of the night and of the day in the record.
    years : ndarray of int, shape (year,)
        Starting calendar years of the growing years.
    expected : ndarray of float, shape (year * 12,)
        Hours of each group.
    """

    edges: Int
    group: Int
    night: Int
    day: Int
    years: Int
    expected: NDArray[np.float64]

    @property
    def nights(self) -> int:
        """Number of nights of the record."""
        return int(self.night[-1]) + 1

    @property
    def days(self) -> int:
        """Number of local standard days of the record."""
        return int(self.day[-1]) + 1


@dataclass(frozen=True)
class Evenings:
    """The dates on which nights begin, each of shape (night,).

    Parameters
    ----------
    day : ndarray of int
        In days since 1970-01-01.
    month, growing_year, day_of_season : ndarray of int
        Month, starting year of the growing year, and days since its first day.
    """

    day: Int
    month: Int
    growing_year: Int
    day_of_season: Int


@dataclass(frozen=True)
class Seasons:
    """For each hour: its local standard day, month, hour, night and growing year.

    Parameters
    ----------
    day : ndarray of int, shape (time,)
        Local standard date of the hour, in days since 1970-01-01.
    hour : ndarray of float, shape (time,)
        Start of the hour on the local standard clock. [h]
    month : ndarray of int, shape (time,)
        1 to 12.
    night : ndarray of int, shape (time,)
        Date of the evening the hour's night began, in days since 1970-01-01.
    growing_year : ndarray of int, shape (time,)
        Calendar year in which the hour's growing year starts.
    north : bool
        Northern half of the Earth.
    offset_min : int
        Local standard time minus UTC. [min]
    """

    day: Int
    hour: NDArray[np.float64]
    month: Int
    night: Int
    growing_year: Int
    north: bool
    offset_min: int

    @property
    def night_index(self) -> Int:
        """Place of each hour's night among the nights of these hours, from 0."""
        return self.night - int(self.night.min())

    @cached_property
    def stretches(self) -> Stretches:
        """The hours by stretches; found once for all that is counted over them."""
        first = int(self.growing_year[0])
        years = np.arange(first, int(self.growing_year[-1]) + 1)
        group = (self.growing_year - first) * 12 + self.month - 1
        night, day = self.night - self.night[0], self.day - self.day[0]
        change = (np.diff(night) != 0) | (np.diff(day) != 0)
        edges = np.concatenate([[0], np.flatnonzero(change) + 1, [len(group)]])
        at = edges[:-1]
        expected = np.bincount(group, minlength=12 * len(years)).astype(float)
        return Stretches(edges, group[at], night[at], day[at], years, expected)

    @cached_property
    def evenings(self) -> Evenings:
        """The nights of these hours, in order; found once for all that is counted."""
        day = int(self.night[0]) + np.arange(self.stretches.nights)
        year, month = _year_month(day)
        if self.north:
            year = np.where(month >= 7, year, year - 1)
        return Evenings(day, month, year, day_of_season(day, north=self.north))

    @classmethod
    def of(cls, time: Minutes, *, zone: str, latitude_deg: float) -> Seasons:
        """Return the seasons of hours given by their UTC starts, shape (time,)."""
        utc = time.astype("datetime64[m]")
        middle = utc[len(utc) // 2].astype(datetime)
        offset = standard_offset_min(zone, middle.year)
        local = utc.astype(np.int64) + offset
        day = local // 1440
        hour = (local % 1440) / 60.0
        night = np.where(hour >= 12, day, day - 1)
        year, month = _year_month(day)
        north = latitude_deg >= 0
        growing = np.where(month >= 7, year, year - 1) if north else year
        return cls(day, hour, month, night, growing, north, offset)

    def hours(self, part: slice) -> Seasons:
        """Return the seasons of some of the hours; the arrays are views."""
        return replace(
            self,
            day=self.day[part],
            hour=self.hour[part],
            month=self.month[part],
            night=self.night[part],
            growing_year=self.growing_year[part],
        )

    def night_month(self, night: Int) -> Int:
        """Return the month of the evenings of nights."""
        return _year_month(night)[1]

    def label(self, start_year: int) -> str:
        """Return the label of a growing year."""
        return growing_year_label(int(start_year), north=self.north)


def by_night(hours: NDArray[np.bool_], night: Int) -> NDArray[np.int16]:
    """Return how many hours of each night are marked, shape (night, case).

    Parameters
    ----------
    hours : ndarray of bool, shape (time, case)
    night : ndarray of int, shape (time,)
        The night of each hour, as `Seasons.night`.
    """
    first = np.searchsorted(night, np.arange(int(night[0]), int(night[-1]) + 1))
    return night_sums(hours, first).astype(np.int16)


def day_of_season(day: Int, *, north: bool) -> Int:
    """Return the calendar day of the growing year, 0 to 364.

    The 29th of February shares the number of the 28th, so that a number is the same
    calendar date in every year.

    Parameters
    ----------
    day : ndarray of int
        Dates in days since 1970-01-01.
    north : bool
        Count from 1 July, else from 1 January.
    """
    dates = day.astype("datetime64[D]")
    months = dates.astype("datetime64[M]")
    month = months.astype(np.int64) % 12
    of_month = (dates - months).astype(np.int64)
    of_month = np.where(month == 1, np.minimum(of_month, 27), of_month)
    number: Int = _MONTH_START[month] + of_month
    return (number - _MONTH_START[6]) % 365 if north else number


def season_date(day: int, *, north: bool) -> tuple[int, int]:
    """Return the (month, day of month) of a day of the growing year."""
    number = (day + (int(_MONTH_START[6]) if north else 0)) % 365
    month = int(np.searchsorted(_MONTH_START, number, side="right"))
    return month, number - int(_MONTH_START[month - 1]) + 1


def month_day(day: int | None, *, north: bool) -> str | None:
    """Return a day of the growing year as MM-DD; None stays None."""
    if day is None:
        return None
    month, of_month = season_date(day, north=north)
    return f"{month:02d}-{of_month:02d}"


def as_date(day_number: int) -> date:
    """Return the date of a count of days since 1970-01-01."""
    return datetime.fromtimestamp(0, UTC).date() + timedelta(days=int(day_number))


def _year_month(day: Int) -> tuple[Int, Int]:
    months = day.astype("datetime64[D]").astype("datetime64[M]").astype(np.int64)
    return 1970 + months // 12, months % 12 + 1
