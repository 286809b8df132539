"""An invented logger on the invented balcony, to try learning on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from climrisk.core.calendar import as_date
from climrisk.physics.solar import night_hours, sun_path
from climrisk.weather.series import Source, WeatherSeries

# Made up: the balcony's true offsets, which a lesson should find again.
STILL_K, WINDY_K, DAY_K = 2.4, 0.2, 0.8
FIRST, LAST = "2024-11-10", "2025-01-20"


def demo_log(station: WeatherSeries) -> WeatherSeries:
    """Return ten weeks of an invented balcony logger, every hour.

    Parameters
    ----------
    station : WeatherSeries
        The demo weather.

    Returns
    -------
    WeatherSeries
        Air temperature only, as a cheap logger gives it.
    """
    seasons = station.seasons()
    day = [as_date(int(d)).isoformat() for d in seasons.day[::24]]
    first, last = day.index(FIRST) * 24, day.index(LAST) * 24
    part = station.between(first, last)
    place = part.place
    sun = sun_path(part.time, place.latitude_deg, place.longitude_deg)
    dark = night_hours(sun)
    wind = part.values["wind_speed_m_s"][:, 0]
    cloud = part.values["cloud_cover_frac"][:, 0]
    hours = np.ones(24) / 24
    calm = np.convolve(np.clip((8 - wind) / 6, 0, 1), hours, mode="same")
    clear = np.convolve(np.clip(1.1 - cloud, 0.1, 1), hours, mode="same")
    weight = calm * clear
    rng = np.random.default_rng(11)
    night = np.where(dark, weight * STILL_K + (1 - weight) * WINDY_K, DAY_K)
    slow = np.repeat(rng.normal(0, 0.4, len(part) // 24 + 1), 24)[: len(part)]
    air = part.air_temp_c[:, 0] + night + slow + rng.normal(0, 0.15, len(part))
    source = Source(
        "logger", "invented balcony logger", "Invented demo weather", "spot"
    )
    return replace(
        WeatherSeries.build(
            part.time,
            {"air_temp_c": np.round(air, 1)},
            place=place,
            source=source,
            notes=("an invented logger on an invented balcony",),
        )
    )
