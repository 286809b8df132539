"""Invented weather for the invented town of Veladrag on the Adriatic coast.

Thirty growing years, the same at every call. Nothing here was ever measured: the
series has the texture of a mild seasonal climate (cold dry wind, clear still nights,
mild cloudy spells), so that every part of the program has something to show.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.physics import humidity
from climrisk.physics.solar import clear_sky_ghi_w_m2, cloud_transmission, sun_path
from climrisk.weather.series import Place, Source, WeatherSeries

VELADRAG = Place("Veladrag airfield (invented)", 44.1, 15.1, 74.0, "Etc/GMT-1")
FIRST_YEAR = 1995
YEARS = 30

# All figures below are made up for the demo.
_MEAN_C, _SEASON_C, _COLDEST_DAY = 17.0, 8.2, 24  # yearly mean, half range, 24 January
_PERSISTENCE = 0.58


@lru_cache(maxsize=4)
def demo_weather(seed: int = 7) -> WeatherSeries:
    """Return the invented record of Veladrag: 30 growing years, hourly.

    Parameters
    ----------
    seed : int
        Another seed gives another thirty years of the same climate.
    """
    rng = np.random.default_rng(seed)
    first = np.datetime64(f"{FIRST_YEAR}-07-01")
    days = np.arange(first, np.datetime64(f"{FIRST_YEAR + YEARS}-07-01"))
    start = first.astype("datetime64[m]") - np.timedelta64(60, "m")
    time = start + np.arange(len(days) * 24) * np.timedelta64(60, "m")
    daily = _Daily(days, rng)
    values = _hourly(daily, time, rng)
    source = Source(
        "demo", "Veladrag, invented weather", "Invented demo weather", "station"
    )
    return WeatherSeries.build(
        time,
        values,
        place=VELADRAG,
        source=source,
        notes=("invented weather: the town of Veladrag does not exist",),
    )


class _Daily:
    """Daily level, cloud, wind and dryness, with spells placed in every winter."""

    def __init__(self, days: NDArray[np.datetime64], rng: np.random.Generator) -> None:
        n = len(days)
        month = days.astype("datetime64[M]").astype(np.int64) % 12 + 1
        self.winter = np.isin(month, (11, 12, 1, 2, 3))
        year_day = (days - days.astype("datetime64[Y]")).astype(np.int64)
        angle = 2 * np.pi * (year_day - _COLDEST_DAY) / 365.25
        self.season = -np.cos(angle)  # -1 in deep winter, 1 in high summer
        winter_of = np.cumsum((month == 7) & (np.roll(month, 1) == 6))
        sd = 2.1 - 0.4 * self.season
        level = _MEAN_C + _SEASON_C * self.season + sd * _red(n, _PERSISTENCE, rng)
        # Some winters are milder than others; the summers of all years are alike.
        level += np.maximum(-self.season, 0) * rng.normal(0, 0.8, YEARS + 1)[winter_of]
        cloud = 1 / (1 + np.exp(-(1.3 * _red(n, 0.5, rng) - 0.25 - 0.9 * self.season)))
        wind = 3.2 * np.exp(0.45 * _red(n, 0.5, rng))
        dry = np.full(n, 3.2) + 1.5 * rng.random(n)
        self.level, self.cloud, self.wind, self.dry = level, cloud, wind, dry
        for year in range(YEARS):
            at = int(np.searchsorted(days, np.datetime64(f"{FIRST_YEAR + year}-11-01")))
            self._place_spells(at, rng)

    def _place_spells(self, november: int, rng: np.random.Generator) -> None:
        """Lay cold windy and clear still spells over one winter, in random order."""
        kinds = np.array([1] * 5 + [0] * 6)
        rng.shuffle(kinds)
        slot = 148 // len(kinds)
        for i, windy in enumerate(kinds):
            length = int(rng.integers(3, 8 if windy else 6))
            a = november + i * slot + int(rng.integers(0, slot - length))
            spell = slice(a, a + length)
            ramp = np.sin(np.pi * (np.arange(length) + 0.8) / (length + 0.6))
            if windy:
                self.level[spell] -= (4.4 + rng.gamma(2.0, 0.8)) * ramp
                self.wind[spell] = rng.uniform(9, 15) * (0.75 + 0.25 * ramp)
                self.cloud[spell] = rng.uniform(0.05, 0.5)
                self.dry[spell] = rng.uniform(9, 13)
            else:
                self.level[spell] -= rng.uniform(0.2, 1.6) * ramp
                self.wind[spell] = rng.uniform(0.9, 1.5)
                self.cloud[spell] = rng.uniform(0.0, 0.12)
                self.dry[spell] = rng.uniform(4.0, 6.5)


def _hourly(
    daily: _Daily, time: NDArray[np.datetime64], rng: np.random.Generator
) -> dict[str, Float]:
    n = len(time)
    hour = np.tile(np.arange(24.0), n // 24)
    level, wind, dry = (_smooth(x) for x in (daily.level, daily.wind, daily.dry))
    season = np.repeat(daily.season, 24)
    cloud = np.clip(_smooth(daily.cloud) + 0.10 * _red(n, 0.8, rng), 0, 1)
    # Clear still days swing most; the sun's own path makes summer swings wider.
    still = 1 / (1 + (wind / 6.0) ** 2)
    swing = (1.3 + 3.9 * (1 - cloud) * still) * (1 + 0.12 * season)
    phase = 2 * np.pi * (hour - 14.5) / 24
    shape = np.cos(phase) + 0.22 * np.cos(2 * phase)
    air = level + swing * shape + 0.25 * _red(n, 0.85, rng)
    breeze = 1 + 0.35 * np.cos(phase) * (1 + season) / 2 * still
    gusty = np.exp(0.16 * _red(n, 0.6, rng))
    speed = np.clip(wind * breeze * gusty, 0.2, 32)
    # Dew point follows the day's air mass and can never pass the air.
    dew = np.minimum(level - dry * (1 - 0.25 * cloud), air - 0.05)
    sun = sun_path(time, VELADRAG.latitude_deg, VELADRAG.longitude_deg)
    ghi = clear_sky_ghi_w_m2(sun) * cloud_transmission(cloud)
    air, dew = np.round(air, 1), np.round(dew, 1)
    return {
        "air_temp_c": air,
        "dew_point_c": np.minimum(dew, air),
        "rel_humidity_pct": np.round(humidity.rel_humidity_pct(air, dew), 0),
        "wind_speed_m_s": np.round(speed, 1),
        "wind_gust_m_s": np.round(speed * (1.45 + 0.1 * rng.random(n)), 1),
        "cloud_cover_frac": np.round(cloud, 2),
        "ghi_w_m2": np.round(ghi, 0),
    }


def _smooth(daily: Float) -> Float:
    """Return hours by straight lines between the days' noons."""
    noon = np.arange(len(daily)) * 24.0 + 12.0
    return np.asarray(np.interp(np.arange(len(daily) * 24) + 0.5, noon, daily))


def _red(n: int, persistence: float, rng: np.random.Generator) -> Float:
    """Return unit-variance noise whose step-to-step correlation is `persistence`."""
    noise = rng.standard_normal(n) * np.sqrt(1 - persistence**2)
    noise[0] /= np.sqrt(1 - persistence**2)
    # 1 / (1 - pB) = (1 + pB)(1 + p^2 B^2)(1 + p^4 B^4)..., B the shift by one step.
    shift, weight = 1, persistence
    while shift < n and weight > 1e-18:
        noise[shift:] += weight * noise[:-shift]
        shift, weight = 2 * shift, weight**2
    return np.asarray(noise)
