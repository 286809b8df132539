"""Longer gaps of a logger filled from a station, by the offset learned from both."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Bool, Float
from climrisk.core.errors import InputError
from climrisk.core.quantities import difference
from climrisk.core.references import field
from climrisk.weather.series import Origin, WeatherSeries
from climrisk.weather.spans import spans

#: Known hours of both that an offset is learned from, at least: ten days.
LEAST_HOURS = 240
#: Longest gap that is filled, and the largest share of a record that may be (estimates:
#: beyond them the record would be the station's and no longer the logger's).
MOST_GAP_HOURS, MOST_SHARE = 336, 0.2
#: Known hours on both sides of a gap from which its offset is learned: six weeks each.
_AROUND_HOURS = 42 * 24
#: Every so many days one is left out to learn the error of the rest.
_LEFT_OUT_DAYS = 5


@dataclass(frozen=True)
class FilledGaps:
    """What was filled and how well the offset does on hours it has not seen."""

    hours: int
    gaps: int
    offset_k: float
    error_k: float


def filled_from(
    logger: WeatherSeries, station: WeatherSeries
) -> tuple[WeatherSeries, FilledGaps | None]:
    """Return a logger's record with gaps of up to two weeks filled from a station.

    The offset is the median difference of logger and station by hour of the day, over
    the six weeks before and after the gap. Filled hours carry `Origin.FILLED`.

    Parameters
    ----------
    logger, station : WeatherSeries
        One case each; their hours may begin at different minutes.

    Returns
    -------
    WeatherSeries, Learned or None
        None where there was nothing to fill.

    Raises
    ------
    InputError
        Both have fewer than ten days of known hours in common.
    """
    air = logger.air_temp_c[:, 0].copy()
    beside = _beside(station, logger.time)
    both = np.isfinite(air) & np.isfinite(beside)
    if both.sum() < LEAST_HOURS:
        raise InputError(
            "too few hours in common to learn from",
            where=field("fill"),
            value=f"{int(both.sum())} hours of {station.source.label}",
            allowed=f"at least {LEAST_HOURS}",
            next_step=f"leave out {field('fill')}, or give a record that overlaps the "
            "station's",
        )
    hour = logger.seasons().hour.astype(int) % 24
    gaps = _gaps(air, beside)
    if not gaps:
        return logger, None
    apart = air - beside
    origin = logger.origin.copy()
    count, used = 0, []
    for first, stop in gaps:
        near = _near(both, first, stop)
        offset = _by_hour(apart[near], hour[near])
        rows = np.arange(first, stop)
        rows = rows[np.isnan(air[rows]) & np.isfinite(beside[rows])]
        air[rows] = np.round(beside[rows] + offset[hour[rows]], 2)
        origin[rows, 0] = Origin.FILLED
        count += len(rows)
        used.append(float(np.median(offset)))
    fill = FilledGaps(count, len(gaps), float(np.median(used)), _error(apart, hour))
    note = (
        f"{fill.hours:,} hours in {fill.gaps} gap{'s' * (fill.gaps != 1)} filled from "
        f"{station.source.label} by what was learned "
        f"({difference(fill.offset_k, 1, signed=True)}, error "
        f"{difference(fill.error_k, 1)} an hour on days left out)"
    )
    credit = "; ".join(c for c in (logger.source.credit, station.source.credit) if c)
    return (
        replace(
            logger,
            values={**logger.values, "air_temp_c": air[:, None]},
            origin=origin,
            notes=(*logger.notes, note),
            source=replace(logger.source, credit=credit),
            fill_error_k=round(fill.error_k, 2),
        ),
        fill,
    )


def _beside(station: WeatherSeries, time: NDArray[np.datetime64]) -> Float:
    """Return the station's air at other hours, by straight lines between its own."""
    x = (station.time - time[0]) / np.timedelta64(60, "m")
    at = np.arange(len(time), dtype=float)
    values = station.air_temp_c[:, 0]
    out = np.interp(at, x, values, left=np.nan, right=np.nan)
    return np.asarray(out)


def _gaps(air: Float, beside: Float) -> list[tuple[int, int]]:
    """Return the gaps that may be filled: bounded, inside, known to the station."""
    lost = np.isnan(air)
    found = [
        (first, stop)
        for first, stop in spans(lost)
        if stop - first <= MOST_GAP_HOURS
        and first > 0
        and stop < len(air)
        and np.isfinite(beside[first:stop]).any()
    ]
    allowed = MOST_SHARE * len(air)
    out, total = [], 0
    for first, stop in sorted(found, key=lambda gap: gap[1] - gap[0]):
        total += stop - first
        if total > allowed:
            break
        out.append((first, stop))
    return sorted(out)


def _near(both: Bool, first: int, stop: int) -> NDArray[np.int64]:
    """Return hours known to both around a gap; all of them where these are too few."""
    begin, end = max(0, first - _AROUND_HOURS), stop + _AROUND_HOURS
    rows = np.flatnonzero(both[begin:end]) + begin
    return rows if len(rows) >= LEAST_HOURS else np.flatnonzero(both)


def _by_hour(difference: Float, hour: NDArray[np.int64]) -> Float:
    """Return the median difference by hour of the day, shape (24,)."""
    whole = float(np.median(difference))
    out = np.full(24, whole)
    for h in range(24):
        mine = difference[hour == h]
        if len(mine) >= 5:
            out[h] = float(np.median(mine))
    return out


def _error(difference: Float, hour: NDArray[np.int64]) -> float:
    """Return the usual error on days that the offset was not learned from. [K]"""
    known = np.isfinite(difference)
    day = np.arange(len(difference)) // 24
    left_out = known & (day % _LEFT_OUT_DAYS == 0)
    seen = known & ~left_out
    if left_out.sum() < 24 or seen.sum() < 24:
        return float(np.nanstd(difference))
    offset = _by_hour(difference[seen], hour[seen])
    wrong = difference[left_out] - offset[hour[left_out]]
    return float(np.sqrt(np.mean(wrong**2)))
