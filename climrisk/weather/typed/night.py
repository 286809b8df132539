"""The night of a typed forecast as hours, so that it goes the road of any record."""

from __future__ import annotations

from datetime import date

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import standard_offset_min
from climrisk.physics.solar import night_hours, sun_path
from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from climrisk.weather.typed.forecast_text import TypedWeather

#: Rise of the day above its night where no maximum is typed: least under cloud or in
#: wind, most on clear still days (our estimate). [K]
USUAL_RISE_K = (4.0, 9.0)
#: What that rise is uncertain by, as a standard deviation (our estimate). [K]
RISE_SD_K = 2.5
_HIGHEST_HOUR = 14
_DAYS_BEFORE = 2


def usual_rise_k(weight: float) -> float:
    """Return the usual rise of the day by the regime weight. [K]"""
    low, high = USUAL_RISE_K
    return low + weight * (high - low)


def typed_series(
    typed: TypedWeather, evening: date, place: Place, *, rise_k: float
) -> WeatherSeries:
    """Return two days and the night of a typed forecast, hour by hour.

    The minimum lasts three hours before the end of the dark, so that a spot whose
    minimum comes later has it too; the days before are like the day typed.

    Parameters
    ----------
    typed : TypedWeather
    evening : date
        Local standard date of the night's evening.
    place : Place
    rise_k : float
        Day maximum minus night minimum where none was typed. [K]
    """
    offset = np.timedelta64(standard_offset_min(place.zone, evening.year), "m")
    first = np.datetime64(evening, "m") - np.timedelta64(_DAYS_BEFORE * 1440, "m")
    count = 24 * (_DAYS_BEFORE + 1) + 12
    time = first - offset + np.arange(count) * np.timedelta64(60, "m")
    dark = night_hours(sun_path(time, place.latitude_deg, place.longitude_deg))
    if dark.ndim > 1:
        dark = dark[:, 0]
    last_dark = int(np.flatnonzero(dark)[-1]) if dark.any() else count - 7
    dawn = last_dark - 2 - 24 * (_DAYS_BEFORE + 1)
    highest = typed.lowest_c + rise_k if typed.highest_c is None else typed.highest_c
    values: dict[str, Float] = {
        "air_temp_c": _curve(np.arange(count), dawn, typed.lowest_c, highest)
    }
    for name, value in (
        ("wind_speed_m_s", typed.wind_m_s),
        ("wind_gust_m_s", typed.gust_m_s),
        ("cloud_cover_frac", typed.cloud_frac),
    ):
        if value is not None:
            values[name] = np.full(count, value)
    return WeatherSeries.build(
        time,
        values,
        place=place,
        source=Source("forecast", "forecast as typed", "", "station"),
        origin=np.full((count, 1), Origin.MODELED, np.uint8),
        notes=("typed words as hours of a usual day",),
    )


def _curve(hour: NDArray[np.int64], dawn: int, low_c: float, high_c: float) -> Float:
    """Return a day's temperatures: cosines between three cold hours and the highest."""
    since = (hour - (dawn + 1)) % 24
    up = (_HIGHEST_HOUR - (dawn + 1)) % 24
    down = 24 - 2 - up
    rising = 0.5 * (1 - np.cos(np.pi * since / up))
    falling = 0.5 * (1 + np.cos(np.pi * np.minimum(since - up, down) / down))
    return np.asarray(low_c + (high_c - low_c) * np.where(since <= up, rising, falling))
