"""Made hourly weather whose monthly means follow the climate normals of a town.

The normals (mean daily maximum and minimum of each month) and the standard deviations
in ``published/made_climates.csv`` are from memory, good to about 0.5 °C; the weather is
invented. Nights follow a first-order autoregression (0.62 from day to day) with
month-long anomalies; hours follow cosines between a minimum at 06:00 and a maximum at
15:00 local standard time.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import numpy as np
from scipy.signal import lfilter

from climrisk.weather.series import Place, Source, WeatherSeries

TABLE = Path(__file__).parent / "published" / "made_climates.csv"
_MID_MONTH = np.array(
    [15.5, 45, 74.5, 105, 135.5, 166, 196.5, 227.5, 258, 288.5, 319, 349.5]
)
_FIRST_YEAR = 2005


@dataclass(frozen=True)
class Normals:
    """Monthly normals of a town and what its days scatter by."""

    name: str
    zone: str
    number: dict[str, float]

    def monthly(self, what: str) -> list[float]:
        """Return the twelve values of ``min`` or ``max``."""
        return [self.number[f"{what}_{m}_c"] for m in range(1, 13)]


@lru_cache(maxsize=1)
def towns() -> dict[str, Normals]:
    """Return the towns of the table by name."""
    with TABLE.open() as file:
        return {
            row["name"]: Normals(
                row["name"],
                row["zone"],
                {k: float(v) for k, v in row.items() if k not in ("name", "zone")},
            )
            for row in csv.DictReader(file)
        }


def _autoregression(n, lag1, rng):
    noise = rng.standard_normal(n) * np.sqrt(1 - lag1**2)
    noise[0] /= np.sqrt(1 - lag1**2)
    return lfilter([1], [1, -lag1], noise)


def _through_year(monthly, day):
    at = np.r_[_MID_MONTH[-1] - 365, _MID_MONTH, _MID_MONTH[0] + 365]
    return np.interp(day, at, np.r_[monthly[-1], monthly, monthly[0]])


def _vapor_pressure(c):
    return 6.112 * np.exp(17.62 * c / (243.12 + c))


def _falling(hours):
    return (0.5 + 0.5 * np.cos(np.pi * hours / 15)) ** 1.5


def made_climate(name: str, years: int = 16, seed: int = 0, warmer_k: float = 0.0):
    """Return hourly weather of a town, as of a station there.

    Parameters
    ----------
    name : str
    years, seed : int
    warmer_k : float
        Added to every hour, for tests of what warmth changes.
    """
    p = towns()[name]
    rng = np.random.default_rng([seed, *name.encode()])
    first = np.datetime64(f"{_FIRST_YEAR}-01-01")
    days = np.arange(first, np.datetime64(f"{_FIRST_YEAR + years}-01-01"))
    n = len(days)
    day_of_year = (days - days.astype("datetime64[Y]")).astype(int) + 0.5
    low = _through_year(p.monthly("min"), day_of_year)
    high = _through_year(p.monthly("max"), day_of_year)
    mean = (low + high) / 2
    warmth = (mean - mean.min()) / (mean.max() - mean.min())
    if abs(p.number["latitude_deg"]) < 6:
        warmth = np.full(n, 0.5)
    sd_low, sd_high = (
        p.number[f"sd_{x}_winter_k"]
        + (p.number[f"sd_{x}_summer_k"] - p.number[f"sd_{x}_winter_k"]) * warmth
        for x in ("min", "max")
    )
    air_mass, cloudiness = _autoregression(n, 0.62, rng), _autoregression(n, 0.5, rng)
    month = np.repeat(rng.normal(0, 0.25, n // 30 + 2), 30)[:n]
    z_low = 0.80 * air_mass + 0.35 * cloudiness + 0.45 * rng.standard_normal(n) + month
    z_high = 0.80 * air_mass - 0.40 * cloudiness + 0.35 * rng.standard_normal(n) + month
    lowest = low + sd_low * z_low / z_low.std()
    highest = np.maximum(high + sd_high * z_high / z_high.std(), lowest + 1.0)
    wind_day = p.number["wind_m_s"] * np.exp(0.45 * _autoregression(n, 0.5, rng) - 0.1)
    hours = np.arange(n * 24)
    of_day, day = hours % 24, hours // 24
    after, before = np.minimum(day + 1, n - 1), np.maximum(day - 1, 0)
    rise = 0.5 - 0.5 * np.cos(np.pi * (of_day - 6) / 9)
    air = np.where(
        of_day < 6,
        lowest[day] + (highest[before] - lowest[day]) * _falling(of_day + 9),
        np.where(
            of_day <= 15,
            lowest[day] + (highest[day] - lowest[day]) * rise,
            lowest[after] + (highest[day] - lowest[after]) * _falling(of_day - 15),
        ),
    )
    dew_day = lowest - p.number["dew_deficit_k"] - rng.exponential(1.2, n)
    dew = np.minimum(np.interp(hours, np.arange(n) * 24 + 6, dew_day), air - 0.1)
    humidity = np.clip(100 * _vapor_pressure(dew) / _vapor_pressure(air), 5, 100)
    wind = np.interp(hours, np.arange(n) * 24 + 12, wind_day)
    wind = wind * (1 + 0.35 * np.cos(2 * np.pi * (of_day - 15) / 24))
    wind = np.clip(wind * np.exp(0.15 * _autoregression(n * 24, 0.6, rng)), 0.2, 30)
    return _series(p, air + warmer_k, humidity, wind)


def _series(p: Normals, air, humidity, wind) -> WeatherSeries:
    # Etc/GMT-1 lies one hour east of Greenwich.
    ahead_h = -int(p.zone.removeprefix("Etc/GMT"))
    first = np.datetime64(f"{_FIRST_YEAR}-01-01T00:00", "m")
    minutes = (np.arange(len(air)) - ahead_h) * np.timedelta64(60, "m")
    air, humidity = np.round(air, 1), np.round(humidity)
    a, b = 17.62, 243.12
    ratio = np.log(humidity / 100) + a * air / (b + air)
    values = {
        "air_temp_c": air,
        "dew_point_c": b * ratio / (a - ratio),
        "wind_speed_m_s": np.round(wind, 1),
    }
    place = Place(
        f"made climate of {p.name}",
        p.number["latitude_deg"],
        p.number["longitude_deg"],
        p.number["elevation_m"],
        p.zone,
    )
    source = Source("station", f"made climate of {p.name}", "", "station")
    return WeatherSeries.build(first + minutes, values, place=place, source=source)
