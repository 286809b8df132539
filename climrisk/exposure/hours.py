"""Hours and nights beyond thresholds, per month and growing year."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.exposure.nights import Nights
from climrisk.seasons import Seasons

Float = NDArray[np.floating]


@dataclass(frozen=True)
class Exposure:
    """What one pass over a series found.

    Parameters
    ----------
    thresholds : ndarray, shape (threshold,)
    hours : ndarray, shape (year, 12, threshold, case)
        Known hours below each threshold; month index 0 is January.
    degree_hours : ndarray, shape (year, 12, threshold, case)
        Step sum of the depth below. [K h]
    unknown : ndarray, shape (year, 12, case)
        Hours without a value inside the record.
    expected : ndarray, shape (year, 12)
        Hours of the record.
    longest_run_hours : ndarray, shape (3, threshold, case)
        Low, mid and high: an unknown hour ends, is passed over in, or joins a run.
    years : ndarray of int, shape (year,)
        Starting calendar years of the growing years.
    nights : Nights
        The table of nights.
    """

    thresholds: Float
    hours: Float
    degree_hours: Float
    unknown: Float
    expected: Float
    longest_run_hours: NDArray[np.int32]
    years: NDArray[np.int64]
    nights: Nights

    @cached_property
    def total_hours(self) -> Float:
        """Hours below over the whole record, shape (threshold, case)."""
        return np.asarray(self.hours.sum(axis=(0, 1), dtype=float))

    @cached_property
    def total_unknown(self) -> Float:
        """Hours without a value over the whole record, shape (case,)."""
        return np.asarray(self.unknown.sum(axis=(0, 1), dtype=float))

    def longest_run_nights(self, threshold: int) -> NDArray[np.int64]:
        """Return the longest run of cold nights, shape (3, case): low, mid, high."""
        return self.nights.longest_run(float(self.thresholds[threshold]))


def expose(
    values: Float,
    seasons: Seasons,
    dark: NDArray[np.bool_],
    thresholds: Float,
    *,
    inclusive: bool = False,
) -> Exposure:
    """Sweep hourly values once and return their exposure below thresholds.

    Parameters
    ----------
    values : ndarray of float, shape (time, case)
        Hourly values; NaN is unknown and counted apart.
    seasons : Seasons
        Of the same hours.
    dark : ndarray of bool, shape (time,)
        Hours from sunset to an hour after sunrise (`climrisk.sun.night_hours`).
    thresholds : ndarray of float, shape (threshold,)
        "Below" is strict.
    inclusive : bool
        Count values equal to the threshold as well.
    """
    # Numba costs a quarter of a second to import: only runs that count pay for it.
    from climrisk.exposure.sweep import allocate, sweep

    values = np.ascontiguousarray(values)
    first_year = int(seasons.growing_year.min())
    years = np.arange(first_year, int(seasons.growing_year.max()) + 1)
    group = (seasons.growing_year - first_year) * 12 + seasons.month - 1
    first_night, first_day = int(seasons.night.min()), int(seasons.day.min())
    night = seasons.night - first_night
    day = seasons.day - first_day
    count, days = int(night.max()) + 1, int(day.max()) + 1
    cases = values.shape[1]
    limits = np.asarray(thresholds, dtype=values.dtype)
    gaps = bool(np.isnan(values).any())
    out = allocate(len(years) * 12, len(limits), cases, count, days, values.dtype.type)
    sweep(values, group, night, day, dark, limits, inclusive, gaps, *out)
    hours, degree_hours, unknown, _, longest, lowest, known, highest = out
    if not gaps:
        longest[0] = longest[2] = longest[1]
    expected = np.bincount(group, minlength=len(years) * 12).astype(float)
    dark_hours = np.bincount(night[dark], minlength=count)
    nights = Nights.of(
        first_night,
        dark_hours,
        known,
        lowest,
        _for_nights(highest, first_day, first_night, count),
        seasons,
    )
    shape = (len(years), 12)
    return Exposure(
        np.asarray(thresholds, dtype=float),
        hours.reshape(*shape, len(limits), cases),
        degree_hours.reshape(*shape, len(limits), cases),
        unknown.reshape(*shape, cases),
        expected.reshape(shape),
        longest,
        years,
        nights,
    )


def _for_nights(highest: Float, first_day: int, first_night: int, count: int) -> Float:
    """Return the day maximum of each night's evening date; NaN where none is known."""
    out = np.full((count, highest.shape[1]), np.nan, highest.dtype)
    at = np.arange(count) + first_night - first_day
    inside = (at >= 0) & (at < len(highest))
    out[inside] = highest[at[inside]]
    out[np.isinf(out)] = np.nan
    return out
