"""What others measured against what the program computes, misses included.

    python -m tests.published.measured

prints the table. Where a place's own weather is not at hand, the weather is made: the
text of the row says which. Measured numbers are from the abstracts named; those that a
prior of the program rests on are left out, as they would prove nothing.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from climrisk.physics.humidity import rel_humidity_pct, saturation_pressure_pa
from climrisk.physics.longwave import black_flux_w_m2, sky_emissivity
from climrisk.physics.surface import leaf_temp_c
from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import root_zone
from climrisk.spot.climate import SpotClimate
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import Prepared, prepare, spot_air_c, spot_climate
from climrisk.weather.selection import WeatherChoice, load_weather
from tests.made_climates import made_climate
from tests.published.coverage import airport

Span = tuple[float, float]
WINTER = (12, 1, 2)


@dataclass(frozen=True)
class Row:
    """A measured number, and what the program says to it.

    Parameters
    ----------
    what, source : str
    unit : str
    measured : (float, float)
        Lowest and highest; twice the same of a single number.
    computed : callable
        Returns the same.
    agrees : bool
        Whether `computed` lies in `measured`, widened by `within`.
    within : float
        What the two may differ by: the rounding of the source, or how far its weather
        is from that taken.
    """

    what: str
    source: str
    unit: str
    measured: Span
    computed: Callable[[], Span]
    agrees: bool
    within: float

    def misses(self) -> float:
        """Return by how much the computed lies outside the measured."""
        (low, high), (least, most) = self.measured, self.computed()
        return max(low - least, most - high, 0.0)


def leaf_below_air_k(
    wind_m_s: float, cloud: float, dew_below_k: float = 3.0, air_c: float = 5.0
) -> float:
    """Return a leaf less its air by night; what is below it is as warm as the air."""
    air = np.full((1, 1), air_c)
    sky = sky_emissivity(air - dew_below_k, np.full((1, 1), cloud))
    above = sky * black_flux_w_m2(air)
    leaf = leaf_temp_c(air, np.full((1, 1), wind_m_s), above, air, 0 * air)
    return float((leaf - air)[0, 0])


def clear_leaves() -> Span:
    """Leaves under a clear sky, from 0.4 to 2.5 m/s."""
    return leaf_below_air_k(0.4, 0.0), leaf_below_air_k(2.5, 0.0)


def tobacco() -> Span:
    """The extremes of many nights: clear, dry and calm, and overcast."""
    warm = {"air_c": 20.0, "dew_below_k": 4.0}
    return leaf_below_air_k(0.4, 0.0, **warm), leaf_below_air_k(2.5, 1.0, **warm)


@lru_cache(maxsize=4)
def of_town(name: str) -> Prepared:
    """Return eight made years of a town."""
    return prepare(made_climate(name, years=8), ensemble(1))


def of_room(prepared: Prepared) -> SpotClimate:
    """Return a heated room with the assumed thermostat."""
    return spot_climate(prepared, spot_kind("heated-room"), only_pot=True)


def by_hours(first: int, last: int) -> Span:
    """Return the mean of a room in made London winters, from hour `first` to `last`."""
    prepared = of_town("london")
    seasons = prepared.seasons
    hour = (prepared.weather.time.astype("datetime64[h]").astype(int)) % 24
    within = (
        (hour >= first) & (hour < last)
        if first < last
        else (hour >= first) | (hour < last)
    )
    rows = within & np.isin(seasons.month, WINTER)
    mean = float(of_room(prepared).air_c[rows].mean())
    return mean, mean


def humidity_of_rooms() -> Span:
    """Return the mean relative humidity of a room in made Chicago winters."""
    prepared = of_town("chicago")
    room, rows = of_room(prepared), np.isin(prepared.seasons.month, WINTER)
    mean = float(rel_humidity_pct(room.air_c, room.dew_point_c)[rows].mean())
    return mean, mean


def vapor_of_rooms() -> Span:
    """Return the mean vapor pressure of a room at La Guardia, winter months of 2013."""
    prepared = prepare(airport("LGA"), ensemble(1))
    rows = np.isin(prepared.seasons.month, (*WINTER, 3))
    vapor = saturation_pressure_pa(of_room(prepared).dew_point_c)[rows]
    mean = float(np.nanmean(vapor)) / 100.0
    return mean, mean


def behind_glass(highest: bool) -> Span:
    """Return a closed glasshouse less the open air by day or night, demo winters."""
    prepared = prepare(load_weather(WeatherChoice(demo=True)), ensemble(1))
    kind = spot_kind("glasshouse")
    air = spot_air_c(prepared, kind)[:, 0]
    days = len(air) // 24
    rows = np.isin(prepared.seasons.month[: days * 24 : 24], WINTER)
    take = np.max if highest else np.min
    inside, outside = (
        take(x[: days * 24].reshape(days, 24), axis=1)[rows]
        for x in (air, prepared.air_c[:, 0])
    )
    mean = float((inside - outside).mean())
    return mean, mean


@lru_cache(maxsize=1)
def lined_pot() -> tuple[float, float]:
    """Return how a lining of 2.6 mm changes low and swing of a 2.7 L black pot.

    Made clear winter days: air from -3 to 13 °C, 200 W/m2 at noon on the wall (mean).
    """
    hours = np.arange(24 * 10)
    wave = np.sin(2 * np.pi * (hours - 9) / 24)[:, None]
    sun = np.maximum(0, np.sin(2 * np.pi * (hours - 6) / 24))[:, None]
    air, dew = 5 + 8 * wave, np.full((len(hours), 1), -4.0)
    sky = sky_emissivity(dew, 0 * air) * black_flux_w_m2(air)
    around = black_flux_w_m2(air)
    calm = np.full_like(air, 0.7)
    climate = SpotClimate(
        np.datetime64("2021-01-01T00:00", "m") + hours * np.timedelta64(60, "m"),
        *(air, np.minimum(dew, air), calm, 2 * calm),
        *(0.4 * sky + 0.6 * around, 0.9 * sky + 0.1 * around),
        *(200 * sun, 350 * sun, air, air, air),
        rain_reaches=False,
        pressure_pa=101_325.0,
    )
    bare = FilledPot.named(
        "thin-plastic", 16, "pine-bark-fine", height_cm=13.4, color="black"
    )
    lined = replace(
        bare.numbers,
        wall_resistance_m2k_w=bare.numbers.wall_resistance_m2k_w + 0.0026 / 0.033,
    )
    means = [
        root_zone(climate, pot, setup="full").mean_c[-24:, 0]
        for pot in (bare.numbers, lined)
    ]
    low = [float(x.min()) for x in means]
    swing = [float(np.ptp(x)) for x in means]
    return low[1] - low[0], swing[1] - swing[0]


def _twice(value: float) -> Span:
    return value, value


_LINING = "2.7 L pot with a 2.6 mm styrene lining, winter: "
_JEH = "J. Environ. Hort. 14:184, 1996"
ROWS = (
    Row(
        "leaves under a clear night sky, less the air",
        "Leuning & Cremer 1988",
        "K",
        (-3.0, -1.0),
        clear_leaves,
        agrees=True,
        within=0.5,
    ),
    Row(
        "tobacco leaves by night, extremes of three periods",
        "J. Exp. Bot. 18:254, 1967",
        "K",
        (-3.0, 0.2),
        tobacco,
        agrees=True,
        within=0.5,
    ),
    Row(
        "plastic tunnel less open air, mean night minimum; computed: demo glasshouse",
        "Savage 1980",
        "K",
        (1.3, 1.3),
        lambda: behind_glass(highest=False),
        agrees=True,
        within=1.0,
    ),
    Row(
        "the same, mean day maximum",
        "Savage 1980",
        "K",
        (4.2, 4.2),
        lambda: behind_glass(highest=True),
        agrees=True,
        within=1.0,
    ),
    Row(
        "124 English living rooms in winter, 8 to 20 h; computed: made London",
        "Energy Build. 110837, 2021",
        "°C",
        (18.6, 18.6),
        lambda: by_hours(8, 20),
        agrees=True,
        within=0.5,
    ),
    Row(
        "their bedrooms, 20 to 8 h",
        "Energy Build. 110837, 2021",
        "°C",
        (18.2, 18.2),
        lambda: by_hours(20, 8),
        agrees=False,
        within=0.5,
    ),
    Row(
        "vapor in 34 flats of New York, winter 2014/15; computed: 2013",
        "Quinn & Shaman 2017",
        "hPa",
        (6.7, 6.7),
        vapor_of_rooms,
        agrees=True,
        within=1.0,
    ),
    Row(
        "Canadian houses in winter, mean humidity; computed: made Chicago",
        "Kent et al. 1966",
        "%",
        (25.0, 30.0),
        humidity_of_rooms,
        agrees=True,
        within=3.0,
    ),
    Row(
        _LINING + "minimum beside the wall; computed: mean of the pot",
        _JEH,
        "K",
        (3.0, 3.0),
        lambda: _twice(lined_pot()[0]),
        agrees=False,
        within=0.5,
    ),
    Row(
        _LINING + "daily swing",
        _JEH,
        "K",
        (-11.0, -11.0),
        lambda: _twice(lined_pot()[1]),
        agrees=False,
        within=2.0,
    ),
)


def said(span: Span) -> str:
    """Return a number or a range as the table prints it."""
    low, high = (f"{x:.1f}".replace("-", "−") for x in span)
    return low if low == high else f"{low} to {high}"


def line(row: Row) -> str:
    """Return a row of the table, in the markup of the help topic."""
    verdict = "" if row.agrees else ": missed"
    return (
        f"| {row.what} ({row.source}) | {said(row.measured)} {row.unit} | "
        f"{said(row.computed())} {row.unit}{verdict} |"
    )


if __name__ == "__main__":
    print("| measured | value | climrisk |\n| --- | --- | --- |")
    for one in ROWS:
        print(line(one))
