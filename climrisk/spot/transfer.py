"""Station to spot: what reaches the plant where it stands, with its spread."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import Seasons, by_night
from climrisk.core.chunked import columns, is_known
from climrisk.core.constants import (
    DAY_LAPSE_K_KM,
    DEW_LAPSE_K_KM,
    NIGHT_LAPSE_K_KM,
    STANDARD_PRESSURE_PA,
)
from climrisk.physics.humidity import pressure_at_height_pa
from climrisk.physics.pointwise import Pointwise
from climrisk.physics.solar import SunPath, night_hours, sun_path
from climrisk.physics.surface import LEAF, leaf_film_at_1_m_s
from climrisk.spot.air import spot_air
from climrisk.spot.climate import SpotClimate
from climrisk.spot.ensemble import Ensemble
from climrisk.spot.kinds import SpotKind
from climrisk.spot.modifiers import sited
from climrisk.spot.nightly import Nightly
from climrisk.spot.radiation import longwave, surfaces
from climrisk.spot.regimes import Regimes, regimes
from climrisk.spot.rooms import room_dew_point_c
from climrisk.spot.sky import Sky, Substitute, sky_of
from climrisk.spot.sunlight import sunlight
from climrisk.spot.surroundings import open_to
from climrisk.spot.wind import gust_at_spot, wind_at_spot
from climrisk.weather.gaps import bridged
from climrisk.weather.series import Origin, WeatherSeries


@dataclass(frozen=True)
class Prepared:
    """A record made ready for any spot: its calendar, sky and regimes.

    Parameters
    ----------
    weather : WeatherSeries
    ensemble : Ensemble
        The members of the spread; each becomes a case.
    seasons : Seasons
    dark : ndarray of bool, shape (time,), or (time, case) for many places
    air_c : ndarray of float, shape (time, 1 or case)
        The station's air at the height of the home.
    sky : Sky
        With the dew point at the height of the home.
    nightly : Nightly
    pressure_pa : float
        Usual air pressure at the height of the home. [Pa]
    """

    weather: WeatherSeries
    ensemble: Ensemble
    seasons: Seasons
    dark: NDArray[np.bool_]
    air_c: Float
    sky: Sky
    nightly: Nightly
    pressure_pa: float

    @cached_property
    def dark_hours(self) -> NDArray[np.int16]:
        """Dark hours of each night, shape (night, 1 or case)."""
        return by_night(columns(self.dark), self.seasons.night)

    @property
    def regimes(self) -> Regimes:
        """Regime of every night, in the order of the record's nights."""
        return self.nightly.regimes

    @property
    def assumed(self) -> tuple[Substitute, ...]:
        """What stands in for variables that the record lacks."""
        return self.sky.assumed


def prepare(
    weather: WeatherSeries,
    ensemble: Ensemble,
    *,
    spot_elevation_m: float | None = None,
    sun: SunPath | None = None,
    seasons: Seasons | None = None,
) -> Prepared:
    """Make a record ready for any spot of a home.

    Parameters
    ----------
    weather : WeatherSeries
        One place.
    ensemble : Ensemble
    spot_elevation_m : float, optional
        Height of the home; the station's where not given.
    sun : SunPath, optional
        Of the same hours, with a column for each case, where cases are places of one
        standard time and one half of the Earth; else the sun of the record's place.
    seasons : Seasons, optional
        Of the same hours, where they are known already.
    """
    filled = weather.origin[:, :1] == Origin.FILLED
    weather = bridged(weather)
    place = weather.place
    if sun is None:
        sun = sun_path(weather.time, place.latitude_deg, place.longitude_deg)
    dark = night_hours(sun)
    seasons = seasons or weather.seasons()
    index = seasons.night_index
    known = weather.dew_point_c()
    lowest = weather.air_temp_c
    if known is None or not is_known(known):
        lowest = _night_lowest(weather.air_temp_c, index)
    night_regimes = regimes(
        index,
        dark,
        weather.air_temp_c,
        weather.get("wind_speed_m_s"),
        weather.get("cloud_cover_frac"),
    )
    nightly = Nightly.of(seasons, dark, night_regimes)
    sky = sky_of(weather, sun, lowest, ensemble, nightly)
    air_c = _between(weather, ensemble)
    if up_km := _above_station_km(weather, spot_elevation_m):
        fall = _lapse_k_km(nightly.window, ensemble)
        air_c = air_c - up_km * fall
        # A dew point that is assumed follows the night's minimum, as at the station.
        dew_fall = fall if known is None else ensemble.value("lapse", DEW_LAPSE_K_KM)
        dew = np.minimum(sky.dew_point_c - up_km * dew_fall, air_c)
        sky = replace(sky, dew_point_c=dew.astype(np.float32))
    air_c = _doubtful(air_c, weather.fill_error_k, filled, index, ensemble)
    height = place.elevation_m if spot_elevation_m is None else spot_elevation_m
    return Prepared(
        weather, ensemble, seasons, dark, air_c, sky, nightly, _pressure_pa(height)
    )


def spot_air_c(prepared: Prepared, kind: SpotKind) -> Float:
    """Return the air temperature at a spot, float32, shape (time, case). [°C]

    A record measured at the spot takes no offset: see `SpotKind.as_recorded`.
    """
    return air_at_kind_c(prepared, sited(kind, prepared.weather.place.latitude_deg))


def air_at_kind_c(prepared: Prepared, kind: SpotKind) -> Float:
    """Return `spot_air_c` of a kind whose particulars are worked in already."""
    sky = prepared.sky
    return spot_air(
        kind,
        prepared.air_c,
        sky.ghi_w_m2,
        prepared.nightly,
        prepared.ensemble,
        from_station=prepared.weather.source.measured_at == "station",
    ).astype(np.float32, copy=False)


def spot_climate(
    prepared: Prepared,
    kind: SpotKind,
    *,
    without: frozenset[str] = frozenset(),
    only_pot: bool = False,
) -> SpotClimate:
    """Return everything that reaches a plant at a spot.

    Parameters
    ----------
    prepared : Prepared
    kind : SpotKind
    without : frozenset of str
        Of `climrisk.spot.radiation.SURROUNDINGS`: left out, to see whether it matters.
    only_pot : bool
        Leave unknown what a pot does not need (leaf and gusts): many places cost less
        so.
    """
    weather, sky = prepared.weather, prepared.sky
    kind = sited(kind, weather.place.latitude_deg)
    spot_c = air_at_kind_c(prepared, kind)
    shape = spot_c.shape
    outdoors_c = prepared.air_c
    seen = open_to(kind, prepared.ensemble)
    light = sunlight(
        kind, sky, north=prepared.seasons.north, ensemble=prepared.ensemble
    )
    wall_sun, top_sun = (full(x, shape) for x in light)
    given = (outdoors_c, spot_c, light[1], prepared.nightly)
    around = surfaces(kind, *given, without, open_share=seen)
    surroundings = around.surroundings_c
    air = (outdoors_c, spot_c, sky, surroundings)
    wall_lw, top_lw = longwave(kind, *air, without, open_share=seen)
    wind = wind_at_spot(kind, prepared.ensemble, sky.wind_m_s, shape)
    recorded = (weather.get("wind_speed_m_s"), weather.get("wind_gust_m_s"))
    dew = dew_at_kind_c(prepared, kind, spot_c)
    leaf = gust = np.broadcast_to(np.float32(np.nan), shape)
    if not only_pot:
        film_w_m2k = leaf_film_at_1_m_s(prepared.pressure_pa)
        (leaf,) = LEAF.of(spot_c, wind, top_lw, surroundings, top_sun, film_w_m2k)
        gust = gust_at_spot(kind, prepared.ensemble, *recorded, shape)
    return SpotClimate(
        time=weather.time,
        air_c=spot_c,
        dew_point_c=dew,
        wind_m_s=wind,
        gust_m_s=gust,
        longwave_wall_w_m2=wall_lw,
        longwave_top_w_m2=top_lw,
        solar_wall_w_m2=wall_sun,
        solar_top_w_m2=top_sun,
        surroundings_c=surroundings,
        floor_c=around.floor_c,
        leaf_c=leaf,
        rain_reaches=kind.rain,
        pressure_pa=prepared.pressure_pa,
    )


def _pressure_pa(height_m: float | None) -> float:
    """Return the usual air pressure at a height; of sea level where it is not known."""
    if height_m is None:
        return STANDARD_PRESSURE_PA
    return pressure_at_height_pa(height_m)


def dew_at_kind_c(prepared: Prepared, kind: SpotKind, spot_c: Float) -> Float:
    """Return the dew point at the spot, never above its air, shape (time, case). [°C]

    Of a kind whose particulars are worked in already. Humidity is moved by its dew
    point, never by points of relative humidity, which change with the temperature.
    """
    dew = prepared.sky.dew_point_c
    more_k: Float | float = 0.0
    if not kind.as_recorded and kind.moist_pa is not None:
        dew = room_dew_point_c(kind, prepared.air_c, dew, prepared.ensemble)
    elif not kind.as_recorded:
        more_k = prepared.ensemble.value("dew", kind.dew_k)
    (held_c,) = DEW.of(dew, more_k, spot_c)
    return held_c


def held_dew_point_c(dew_c: Float, more_k: Float, spot_c: Float) -> Float:
    """Return a raised dew point, never above the air. [°C]"""
    return np.minimum(dew_c + more_k, spot_c)


DEW = Pointwise(held_dew_point_c, "pcf")


def _between(weather: WeatherSeries, ensemble: Ensemble) -> Float:
    """Return the station's air with what lies between it and the home, (time, case)."""
    if weather.away is None or weather.away.spread_k <= 0:
        return weather.air_temp_c
    # Of one member for all winters.
    return weather.air_temp_c + ensemble.value("windy", (0.0, weather.away.spread_k))


def _above_station_km(weather: WeatherSeries, spot_elevation_m: float | None) -> float:
    """Return how far the home is above the station; 0 where either is not known."""
    height = weather.place.elevation_m
    if spot_elevation_m is None or height is None:
        return 0.0
    return (spot_elevation_m - height) / 1000.0


def _lapse_k_km(window: Float, ensemble: Ensemble) -> Float:
    """Return the fall of air temperature with height, shape (time, case)."""
    night, day = (
        ensemble.value("lapse", x) for x in (NIGHT_LAPSE_K_KM, DAY_LAPSE_K_KM)
    )
    return np.asarray(window * night + (1.0 - window) * day)


def _doubtful(
    air_c: Float,
    error_k: float | None,
    filled: NDArray[np.bool_],
    index: NDArray[np.int64],
    ensemble: Ensemble,
) -> Float:
    """Return air with what hours filled from another record may be off, (time, case).

    An error lasts through its night: hours of a night are wrong together.
    """
    if not error_k or not filled.any():
        return air_c
    noise = ensemble.noise(int(index[-1]) + 1, of=1)
    return air_c + np.where(filled, np.float32(error_k) * noise[index], np.float32(0))


def _night_lowest(air_c: Float, night: NDArray[np.int64]) -> Float:
    first = np.searchsorted(night, np.arange(int(night[-1]) + 1))
    return np.asarray(np.fmin.reduceat(air_c, first, axis=0)[night])


def full(x: Float, shape: tuple[int, ...]) -> Float:
    """Return a contiguous single-precision array of the full shape, itself if it is."""
    if x.shape == shape and x.dtype == np.float32 and x.flags.c_contiguous:
        return x
    return np.ascontiguousarray(np.broadcast_to(x, shape), dtype=np.float32)
