"""Logger and station side by side, night by night."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float, Int
from climrisk.exposure.nights import COVERAGE
from climrisk.physics.solar import night_hours, sun_path
from climrisk.spot.calibration import CommonNights
from climrisk.spot.transfer import Prepared
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes


@dataclass(frozen=True)
class PairedNights:
    """What logger and station know together.

    Parameters
    ----------
    nights : CommonNights
    left_aside : int
        Nights of the logger that the station does not know, or that too little is
        known of.
    day_k : ndarray, shape (day,)
        Day's highest, logger minus station. [K]
    swing : ndarray, shape (night, 2)
        Day's highest minus the following night's lowest, logger and station; NaN where
        unknown. [K]
    difference_k, station_c : ndarray, shape (time,), or None
        Of the dark hours; None for a table of extremes.
    hour, night : ndarray of int, shape (time,), or None
        Hour of the day, and row of `nights`, -1 for none.
    """

    nights: CommonNights
    left_aside: int
    day_k: Float
    swing: Float
    difference_k: Float | None = None
    station_c: Float | None = None
    hour: Int | None = None
    night: Int | None = None


def hours_beside(logger: WeatherSeries, station: Prepared) -> PairedNights:
    """Return the nights of a logger's hours and a station's.

    A night counts when 80 % of its dark hours are known to both; minima are taken over
    those hours.
    """
    seasons = logger.seasons()
    place = logger.place
    dark = night_hours(sun_path(logger.time, place.latitude_deg, place.longitude_deg))
    air = np.asarray(logger.air_temp_c[:, 0], float)
    there = _at(station, logger.time)
    both = np.isfinite(air) & np.isfinite(there)
    first = int(seasons.night[0])
    index = seasons.night - first
    count = int(index[-1]) + 1
    expected = np.bincount(index[dark], minlength=count)
    # A night that the record cuts is shorter than its neighbors.
    usual = np.median(expected[expected > 0]) if (expected > 0).any() else 0
    known = np.bincount(index[dark & both], minlength=count)
    counts = known >= COVERAGE * np.maximum(expected, 0.9 * usual)
    evening = first + np.arange(count)
    weight, spread, has = _regimes(station, evening)
    use = counts & has & (known > 0)
    mine = _lowest(np.where(both & dark, air, np.inf), index, count)
    theirs = _lowest(np.where(both & dark, there, np.inf), index, count)
    rows = np.flatnonzero(use)
    row_of = np.full(count, -1)
    row_of[rows] = np.arange(len(rows))
    difference = mine[rows] - theirs[rows]
    nights = CommonNights(evening[rows], difference, weight[rows], spread[rows])
    day = seasons.day - first
    days = int(day[-1]) + 1
    noon = (seasons.hour >= 9) & (seasons.hour <= 17)
    whole = np.bincount(day[noon & both], minlength=days) >= 8
    high_mine = -_lowest(np.where(both, -air, np.inf), day, days)
    high_theirs = -_lowest(np.where(both, -there, np.inf), day, days)
    swing = np.full((len(rows), 2), np.nan)
    inside = rows < days
    at = rows[inside]
    swing[inside, 0] = np.where(whole[at], high_mine[at] - mine[at], np.nan)
    swing[inside, 1] = np.where(whole[at], high_theirs[at] - theirs[at], np.nan)
    return PairedNights(
        nights,
        int((expected > 0).sum()) - len(rows),
        high_mine[whole] - high_theirs[whole],
        swing,
        np.where(both & dark, air - there, np.nan),
        np.where(both & dark, there, np.nan),
        seasons.hour.astype(np.int64),
        row_of[index],
    )


def extremes_beside(table: DailyExtremes, station: Prepared) -> PairedNights:
    """Return the nights of a min-max thermometer and a station.

    The instrument was reset around noon or evening, so the station's minimum is that
    of the whole night from noon to noon.
    """
    seasons = station.seasons
    air = np.asarray(station.air_c[:, 0], float)
    known = np.isfinite(air)
    first = int(seasons.night[0])
    index = seasons.night - first
    count = int(index[-1]) + 1
    theirs = _lowest(np.where(known, air, np.inf), index, count)
    hours = np.bincount(index[known], minlength=count)
    row = table.evening - first
    inside = (row >= 0) & (row < count)
    weight, spread, has = _regimes(station, table.evening)
    safe = np.where(inside, row, 0)
    use = inside & has & np.isfinite(table.lowest_c) & (hours[safe] >= 24 * COVERAGE)
    nights = CommonNights(
        table.evening[use],
        table.lowest_c[use] - theirs[safe][use],
        weight[use],
        spread[use],
    )
    first_day = int(seasons.day[0])
    day = seasons.day - first_day
    days = int(day[-1]) + 1
    high = -_lowest(np.where(known, -air, np.inf), day, days)
    full = np.bincount(day[known], minlength=days) >= 24 * COVERAGE
    at = table.day - first_day
    there = (at >= 0) & (at < days)
    safe_day = np.where(there, at, 0)
    good = there & full[safe_day] & np.isfinite(table.highest_c)
    day_k = table.highest_c[good] - high[safe_day][good]
    return PairedNights(
        nights,
        int((~use).sum()),
        day_k,
        np.full((len(nights), 2), np.nan),
    )


def _at(station: Prepared, time: NDArray[np.datetime64]) -> Float:
    """Return the station's air at the logger's hours, by straight lines."""
    own = station.weather.time
    x = (own - time[0]) / np.timedelta64(60, "m")
    at = (time - time[0]) / np.timedelta64(60, "m")
    values = np.asarray(station.air_c[:, 0], float)
    out = np.interp(at, x, values, left=np.nan, right=np.nan)
    return np.asarray(out)


def _regimes(station: Prepared, evening: Int) -> tuple[Float, Float, NDArray[np.bool_]]:
    first = int(station.seasons.night[0])
    regimes = station.regimes
    row = evening - first
    has = (row >= 0) & (row < len(regimes.weight))
    safe = np.where(has, row, 0)
    return regimes.weight[safe], regimes.spread[safe], has


def _lowest(values: Float, index: Int, count: int) -> Float:
    out = np.full(count, np.inf)
    np.minimum.at(out, index, values)
    return out
