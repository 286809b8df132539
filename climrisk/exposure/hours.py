"""Hours and nights beyond thresholds, per month and growing year."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons, by_night
from climrisk.core.chunked import columns, share_out
from climrisk.exposure.nights import Nights
from climrisk.exposure.sweep import Filled, allocate, sweep

#: With fewer, half of them do not fill the vectors of the pass.
_LEAST_CASES_TO_SPLIT = 64


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

    @cached_property
    def whole_years(self) -> NDArray[np.bool_]:
        """Growing years wholly inside the record and at least 80 % known."""
        expected = self.expected.sum(axis=1)
        unknown = np.median(self.unknown.sum(axis=1), axis=1)
        return np.asarray((expected >= 8760) & (unknown <= 0.2 * expected))

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
    turned: bool = False,
    dark_hours: NDArray[np.int16] | None = None,
) -> Exposure:
    """Sweep hourly values once and return their exposure below thresholds.

    Parameters
    ----------
    values : ndarray of float, shape (time, case)
        Hourly values; NaN is unknown and counted apart.
    seasons : Seasons
        Of the same hours.
    dark : ndarray of bool, shape (time,), or (time, case) for many places
        Hours from sunset to an hour after sunrise (`solar.night_hours`).
    thresholds : ndarray of float, shape (threshold,)
        "Below" is strict.
    inclusive : bool
        Count values equal to the threshold as well.
    turned : bool
        Count what lies above the thresholds: values and thresholds are swept with
        their sign turned, and all that is found has it turned.
    dark_hours : ndarray of int16, shape (night, 1 or case), optional
        Of each night, where they are counted already (`by_night`).
    """
    values = np.ascontiguousarray(values)
    if turned:
        thresholds = -thresholds
    cases = values.shape[1]
    limits = np.asarray(thresholds, dtype=values.dtype)
    by = seasons.stretches
    dark = columns(dark)
    stretches = (by.edges, by.group, by.night, by.day)
    shape = (12 * len(by.years), len(limits))

    def whole(*, gaps: bool) -> Filled | None:
        def part(some: range) -> Filled | None:
            # Each part has arrays of its own: threads that write to the same lines of
            # the cache would wait for each other.
            out = allocate(*shape, len(some), by.nights, by.days, values.dtype.type)
            done = sweep(
                *(values, stretches, dark, limits, some.start, out),
                inclusive=inclusive,
                gaps=gaps,
                turned=turned,
            )
            return out if done else None

        return _joined(share_out(part, _parts(cases)))

    # Most records have no gap; a pass that meets one stops and is made anew.
    out, gaps = whole(gaps=False), False
    if out is None:
        out, gaps = whole(gaps=True), True
    assert out is not None
    if dark_hours is None:
        dark_hours = by_night(dark, seasons.night)
    return finished(out, dark_hours, seasons, thresholds, gaps=gaps)


def finished(
    out: Filled,
    dark_hours: NDArray[np.int16],
    seasons: Seasons,
    thresholds: Float,
    *,
    gaps: bool,
) -> Exposure:
    """Return what the arrays of a pass hold; without gaps the three runs are one.

    Parameters
    ----------
    out : Filled
        As `climrisk.exposure.sweep.allocate` made them and the pass filled them.
    dark_hours : ndarray of int16, shape (night, 1) or (night, case)
    seasons : Seasons
    thresholds : ndarray of float, shape (threshold,)
    gaps : bool
    """
    hours, degree_hours, unknown, _, runs, lowest, lost, highest = out
    by, cases = seasons.stretches, unknown.shape[1]
    longest = np.ascontiguousarray(runs.transpose(1, 0, 2))
    if not gaps:
        longest[0] = longest[2] = longest[1]
    first_night = int(seasons.night[0])
    nights = Nights.of(
        dark_hours,
        lost,
        lowest,
        _for_nights(highest, int(seasons.day[0]), first_night, by.nights),
        seasons,
    )
    table = (len(by.years), 12)
    return Exposure(
        np.asarray(thresholds, dtype=float),
        hours.reshape(*table, len(thresholds), cases),
        degree_hours.reshape(*table, len(thresholds), cases),
        unknown.reshape(*table, cases),
        by.expected.reshape(table),
        longest,
        by.years,
        nights,
    )


def _parts(cases: int) -> list[range]:
    """Return all cases, in two parts where there are enough for two threads."""
    if cases < _LEAST_CASES_TO_SPLIT:
        return [range(cases)]
    return [range(cases // 2), range(cases // 2, cases)]


def _joined(parts: list[Filled | None]) -> Filled | None:
    """Return the arrays of all cases; None where a part has none."""
    filled = [part for part in parts if part is not None]
    if len(filled) < len(parts):
        return None
    if len(filled) == 1:
        return filled[0]
    return Filled(*(np.concatenate(x, axis=-1) for x in zip(*filled, strict=True)))


def _for_nights(highest: Float, first_day: int, first_night: int, count: int) -> Float:
    """Return the day maximum of each night's evening date; NaN where none is known."""
    out = np.empty((count, highest.shape[1]), highest.dtype)
    # A record that begins before noon has a night, and no day, of the evening before.
    late = first_day - first_night
    stop = min(count, late + len(highest))
    out[:late], out[stop:] = np.nan, np.nan
    days = out[late:stop]
    days[:] = highest[: stop - late]
    unknown = np.isinf(days)
    if unknown.any():
        days[unknown] = np.nan
    return out
