"""Nights made by hand, so that the answer is counted and not computed."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.limits import limits_of
from climrisk.commands.shared.judgements import Judgements
from climrisk.core.calendar import season_date
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare
from climrisk.weather.series import Place, Source, WeatherSeries

#: Days of each month of a common year, and days of the growing year before each month.
LENGTH = dict(enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), start=1))
NORTH, SOUTH = (7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6), tuple(range(1, 13))
#: Hours of each made day that have the day's temperature, 07 to 18.
DAY_HOURS = 11


def days_of(month, *, north=True):
    """Return the days of the growing year that a month has."""
    order = NORTH if north else SOUTH
    before = sum(LENGTH[m] for m in order[: order.index(month)])
    return range(before, before + LENGTH[month])


def nights(cold_days, *, members=1, north=True, unknown=()):
    """Return the cold nights of winters given by their days of the growing year."""
    n = len(cold_days)
    year = np.repeat(np.arange(2000, 2000 + n), 365)
    day = np.tile(np.arange(365), n)
    month = np.array([season_date(int(d), north=north)[0] for d in day])
    cold = np.zeros((365 * n, members), dtype=bool)
    for i, days in enumerate(cold_days):
        for m in range(members):
            chosen = days[m] if members > 1 else days
            cold[i * 365 + np.asarray(chosen, int), m] = True
    lost = np.zeros_like(cold)
    for i, d in unknown:
        lost[i * 365 + d] = ~cold[i * 365 + d]
    return ColdNights(cold, lost, month, year, day, np.unique(year), north)


def record(years=5, *, mild=15.0, cold=()):
    """Return night minima of growing years, shape (year, 365).

    Parameters
    ----------
    years : int
    mild : float
        Every night but those of `cold`. [°C]
    cold : sequence of (year or None, days, temperature)
        None is every year.
    """
    lowest = np.full((years, 365), mild)
    for year, days, temperature in cold:
        rows = slice(None) if year is None else year
        lowest[rows, list(days)] = temperature
    return lowest


def hours(
    lowest, *, highest=24.0, north=True, typical=False, at="spot", elevation=10.0
):
    """Return hourly weather whose nights have exactly these minima.

    Nights are as cold from 18 to 07 local standard time, days as warm from 07 to 18.
    The 29th of February is like the 28th. Missing nights are NaN and lose their hours.

    Parameters
    ----------
    lowest : ndarray, shape (year, 365)
        By day of the growing year. [°C]
    highest : float or ndarray like `lowest`
        Of the days; nowhere below `lowest`. [°C]
    """
    lowest = np.asarray(lowest, float)
    high = np.broadcast_to(np.asarray(highest, float), lowest.shape)
    first = np.datetime64("2010-07-01" if north else "2010-01-01")
    month = (first.astype("datetime64[M]") + 12 * len(lowest)).astype("datetime64[D]")
    dates = np.arange(first, month)
    leap = np.array([str(d).endswith("02-29") for d in dates])
    index = np.cumsum(~leap) - 1  # a leap day repeats the day before
    low, high = lowest.ravel()[index], high.ravel()[index]
    of_day = np.arange(24)
    night = np.where(of_day[None] < 12, np.r_[low[0], low[:-1]][:, None], low[:, None])
    lit = (of_day >= 7) & (of_day < 7 + DAY_HOURS)
    air = np.where(lit[None] & ~np.isnan(night), high[:, None], night).ravel()
    time = first.astype("datetime64[m]") + 60 * np.arange(len(air))
    values = {
        "air_temp_c": air,
        "dew_point_c": air - 4,
        "wind_speed_m_s": np.full(len(air), 2.0),
        "cloud_cover_frac": np.full(len(air), 0.3),
    }
    place = Place("made", 44.0 if north else -44.0, 0.0, elevation, "Etc/GMT")
    source = Source("typical" if typical else "logger", "made by hand", "", at)
    return WeatherSeries.build(time, values, place=place, source=source)


@lru_cache(maxsize=32)
def _home(weather_id, members, rooms, spots):
    return Judgements(prepare(_SERIES[weather_id], ensemble(members)), rooms, spots)


_SERIES: dict[int, WeatherSeries] = {}


def judged(
    weather,
    plant,
    spot="as-measured",
    *,
    risk=0.2,
    spring=0.25,
    members=1,
    rooms=(),
    spots=(),
    state="established",
    strict=False,
):
    """Return the judgement of a plant at a spot of a home."""
    _SERIES[id(weather)] = weather  # held, so that the identity stays its own
    home = _home(id(weather), members, tuple(rooms), tuple(spots))
    limits = limits_of(plant, state, strict=strict)
    kind = spot_kind(spot) if isinstance(spot, str) else spot
    return home.at(kind, plant, limits, (risk, spring))
