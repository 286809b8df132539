"""Made climates whose answer is known beforehand."""

from __future__ import annotations

import numpy as np

from climrisk.weather.series import Place, Source, WeatherSeries


def climate(
    *,
    mean=15.0,
    season=8.0,
    day=4.0,
    years=5,
    spells=(),
    start="2010-07-01T00:00",
    latitude=44.0,
    measured_at="spot",
    full=True,
    seed=3,
    noise=0.5,
):
    """Return hourly weather: a yearly wave, a daily wave and cold spells.

    spells: (day of the growing year, nights, K colder), in every year.
    """
    rng = np.random.default_rng(seed)
    days = round(365.25 * years)
    hours = days * 24
    time = np.datetime64(start, "m") + np.arange(hours) * np.timedelta64(60, "m")
    n = np.arange(hours) / 24
    air = mean + season * np.cos(2 * np.pi * (n - 20) / 365.25)
    air += day * np.cos(2 * np.pi * (n % 1 - 14.5 / 24))
    air += np.repeat(rng.normal(0, noise, days), 24)
    for first, nights, colder in spells:
        for year in range(years):
            a = round(24 * (first + 365.25 * year)) + 12
            air[a : a + 24 * nights] -= colder
    values = {"air_temp_c": np.round(air, 1)}
    if full:
        values |= {
            "dew_point_c": np.round(air - 4, 1),
            "wind_speed_m_s": np.full(hours, 2.0),
            "cloud_cover_frac": np.full(hours, 0.3),
        }
    place = Place("made", latitude, 0.0, 10.0, "Etc/GMT")
    source = Source("logger", "made climate", "", measured_at)
    return WeatherSeries.build(time, values, place=place, source=source)
