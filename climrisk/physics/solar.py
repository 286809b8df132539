"""Where the sun stands at mid-hour, and the sunlight that comes with it."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from functools import cached_property, partial

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.chunked import columns, several_by_slabs
from climrisk.core.disk_cache import remembered
from climrisk.physics.pointwise import where

_CYCLE_H = 1461 * 24  # four years, leap day included
_SUNSET_SINE = np.float32(np.sin(np.deg2rad(-0.83)))
_LOW_SUN_SINE = np.float32(np.sin(np.deg2rad(3.0)))


@dataclass(frozen=True)
class Places:
    """One place or many on the Earth, and how they stand on it.

    Parameters
    ----------
    latitude_deg, longitude_deg : float, or ndarray of float, shape (case,)
        Degrees north and east.
    """

    latitude_deg: Float | float
    longitude_deg: Float | float

    @cached_property
    def up(self) -> Float:
        """Away from the Earth's center, float32, (3,) or (3, case); see `toward_sun`.

        Unit vectors, as `east` and `north`.
        """
        (sin_lat, cos_lat), (sin_lon, cos_lon) = self._turns
        return _stacked(cos_lat * cos_lon, cos_lat * sin_lon, sin_lat)

    @cached_property
    def north(self) -> Float:
        """Toward the north along the ground, as `up`."""
        (sin_lat, cos_lat), (sin_lon, cos_lon) = self._turns
        return _stacked(-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat)

    @cached_property
    def east(self) -> Float:
        """Toward the east along the ground, as `up`."""
        _, (sin_lon, cos_lon) = self._turns
        return _stacked(-sin_lon, cos_lon, np.zeros_like(sin_lon))

    @property
    def _turns(self) -> tuple[tuple[Float, Float], ...]:
        both = np.broadcast_arrays(self.latitude_deg, self.longitude_deg)
        turned = [np.deg2rad(np.asarray(x, float)) for x in both]
        return tuple((np.sin(x), np.cos(x)) for x in turned)


def _stacked(*parts: Float) -> Float:
    return np.stack(parts).astype(np.float32)


@dataclass(frozen=True)
class SunPath:
    """The sun at the middle of each hour.

    Parameters
    ----------
    height : callable
        Returns the sine of the height, computed only where somebody asks for it.
    bearing : callable
        Returns the azimuth, likewise.
    """

    height: Callable[[], Float]
    bearing: Callable[[], Float]

    @classmethod
    def at(cls, elevation_deg: Float, azimuth_deg: Float) -> SunPath:
        """Return the path of a sun whose places are known."""
        return cls(lambda: np.sin(np.deg2rad(elevation_deg)), lambda: azimuth_deg)

    @classmethod
    def seen_from(cls, toward: Float, places: Places) -> SunPath:
        """Return the path from places, given where the sun stands over the Earth.

        Parameters
        ----------
        toward : ndarray of float32, shape (3, time)
            From `toward_sun`.
        places : Places
        """

        def along(axis: Float) -> Float:
            total: Float = np.multiply.outer(toward[0], axis[0])
            part: Float = np.multiply.outer(toward[1], axis[1])
            total += part
            total += np.multiply.outer(toward[2], axis[2], out=part)
            return total

        def azimuth() -> Float:
            angle = np.rad2deg(np.arctan2(along(places.east), along(places.north)))
            return np.asarray(angle % 360.0)

        return cls(lambda: along(places.up), azimuth)

    @cached_property
    def sine(self) -> Float:
        """Sine of the geometric height above the horizon; negative below it.

        Float32, shape (time,), or (time, case) for many places.
        """
        return self.height()

    @cached_property
    def elevation_deg(self) -> Float:
        """Geometric height above the horizon, shape as `sine`. [°]"""
        return np.rad2deg(np.arcsin(np.clip(self.sine, -1.0, 1.0)))

    @cached_property
    def azimuth_deg(self) -> Float:
        """Clockwise from north, shape as `sine`. [°]"""
        return self.bearing()

    @cached_property
    def northward(self) -> Float:
        """Cosine of the azimuth, float32, shape as `sine`."""
        return np.cos(np.deg2rad(self.azimuth_deg), dtype=np.float32)

    @cached_property
    def eastward(self) -> Float:
        """Sine of the azimuth, float32, shape as `sine`."""
        return np.sin(np.deg2rad(self.azimuth_deg), dtype=np.float32)

    @cached_property
    def rise(self) -> Float:
        """Tangent of the height, float32, shape as `sine`."""
        cosine = np.sqrt(np.maximum(1.0 - np.square(self.sine), 1e-12))
        return np.asarray(self.sine / cosine, dtype=np.float32)

    @cached_property
    def sin_elevation(self) -> Float:
        """Sine of the height, at least 0."""
        return np.maximum(self.sine, np.float32(0))

    @cached_property
    def cos_elevation(self) -> Float:
        """Cosine of the height."""
        return np.sqrt(np.maximum(1 - self.sine * self.sine, np.float32(0)))


def sun_path(
    time: NDArray[np.datetime64],
    latitude_deg: Float | float,
    longitude_deg: Float | float,
) -> SunPath:
    """Return the sun's position at the middle of each hour.

    Parameters
    ----------
    time : ndarray of datetime64, shape (time,)
        UTC starts of consecutive hours.
    latitude_deg, longitude_deg : float, or ndarray of float, shape (case,)
        Degrees north and east; with many places the path has a column for each.
    """
    places = Places(latitude_deg, longitude_deg)
    return SunPath.seen_from(toward_sun(time), places)


def toward_sun(time: NDArray[np.datetime64]) -> Float:
    """Return where the sun stands over the turning Earth at the middle of each hour.

    Parameters
    ----------
    time : ndarray of datetime64, shape (time,)
        UTC starts of consecutive hours.

    Returns
    -------
    ndarray of float32, shape (3, time)
        Unit vectors from the Earth's center: toward the equator at Greenwich, toward
        the equator at 90° east, and toward the north pole.

    Notes
    -----
    pvlib's ephemeris method, within 0.02° of the solar position algorithm of Reda &
    Andreas (NREL/TP-560-34302). Records longer than four years repeat the four years
    around their middle, as the calendar does: within 0.1° over 30 years.
    """
    n = len(time)
    first = 0
    if n > _CYCLE_H:
        first = max((n - _CYCLE_H) // 2, 0)
    part = time[first : first + _CYCLE_H].astype("datetime64[s]")
    name = f"{part[0]}_{len(part)}"
    sun = remembered("sun", name, (3, len(part)), partial(_ephemeris, part))
    if n == len(part):
        return sun
    return sun[:, (np.arange(n) - first) % len(part)]


def _ephemeris(hours: NDArray[np.datetime64]) -> Float:
    """Return unit vectors toward the sun at mid-hour, float32, shape (3, time)."""
    import pandas as pd
    from pvlib import solarposition

    middle = pd.DatetimeIndex(hours + np.timedelta64(1800, "s")).tz_localize("UTC")
    heights = []
    with warnings.catch_warnings():
        # pvlib's own use of a pandas name on its way out; nothing a user can do.
        warnings.simplefilter("ignore")
        # The height's sine at a place is the sun's share along the place's upright.
        for latitude, longitude in ((0.0, 0.0), (0.0, 90.0), (90.0, 0.0)):
            sun = solarposition.ephemeris(middle, latitude, longitude)
            heights.append(np.sin(np.deg2rad(sun["elevation"].to_numpy())))
    return np.stack(heights).astype(np.float32)


def clear_sky_ghi_w_m2(sun: SunPath) -> Float:
    """Return global sunlight on level ground under a cloudless sky. [W/m²]

    Haurwitz 1945, J. Meteor. 2:154, ``1098 cos z exp(-0.059 / cos z)``.
    """
    s = sun.sin_elevation
    up = s > 0
    return np.where(up, 1098.0 * s * np.exp(-0.059 / np.where(up, s, 1.0)), 0.0)


def cloud_transmission(cloud_cover_frac: Float) -> Float:
    """Return the share of clear-sky sunlight that a cloud cover lets through.

    Kasten & Czeplak 1980, Solar Energy 24:177, ``1 - 0.75 c^3.4`` (from memory).
    """
    return 1.0 - 0.75 * cloud_cover_frac**3.4


def cloud_of_transmission(passed_frac: Float) -> Float:
    """Return the cloud cover that lets a share of clear-sky sunlight through, 0 to 1.

    The inverse of `cloud_transmission`; NaN gives NaN.
    """
    taken = np.clip((1.0 - passed_frac) / 0.75, 0.0, 1.0)
    out: Float = taken ** (1 / 3.4)
    return out


def beam_and_diffuse(ghi_w_m2: Float, sun: SunPath) -> tuple[Float, Float]:
    """Split global sunlight into beam (on a plane facing the sun) and diffuse.

    Parameters
    ----------
    ghi_w_m2 : ndarray of float, shape (time, case)
        Global sunlight; NaN gives NaN.
    sun : SunPath
        Of the same hours.

    Returns
    -------
    dni_w_m2, dhi_w_m2 : ndarray of float, shape (time, case)

    Notes
    -----
    Erbs, Klein & Duffie 1982, Solar Energy 28:293, eq. 1 on hourly clearness. Below
    3° all light counts as diffuse, since beam there is mostly behind a horizon.
    """
    sines = columns(sun.sin_elevation).astype(np.float32, copy=False)
    ghi = ghi_w_m2.astype(np.float32, copy=False)
    dni, dhi = several_by_slabs(split_light, 2, ghi, sines)
    return dni, dhi


def split_light(ghi_w_m2: Float, sine: Float) -> tuple[Float, Float]:
    """Return beam and diffuse of `beam_and_diffuse`; the sine is at least 0."""
    # Extraterrestrial flux with the mean solar constant; its 3 % yearly swing is small
    # beside the scatter of the split.
    kt = ghi_w_m2 / np.maximum(1361.0 * sine, 1.0)
    kt = np.minimum(np.maximum(kt, 0.0), 1.0)
    share = (((12.336 * kt - 16.638) * kt + 4.388) * kt - 0.1604) * kt + 0.9511
    share = where(kt <= 0.22, 1.0 - 0.09 * kt, share)
    share = where(kt > 0.80, 0.165, share)
    share = where(sine <= _LOW_SUN_SINE, 1.0, share)
    dhi = share * ghi_w_m2
    dni = np.minimum((ghi_w_m2 - dhi) / np.maximum(sine, 0.05), 1100.0)
    return dni, dhi


def night_hours(sun: SunPath) -> NDArray[np.bool_]:
    """Return the hours from sunset to an hour after sunrise, shape as the sun's.

    An hour counts as night when the sun's center stands below -0.83° (refraction and
    half the disc, the usual definition of sunrise) at mid-hour; the hour after the
    last such hour is added, because screens go on cooling after sunrise.
    """
    dark = has_set(sun.sine)
    after = np.zeros_like(dark)
    after[1:] = dark[:-1] & ~dark[1:]
    return dark | after


def sunset_utc(
    day: date, latitude_deg: float, longitude_deg: float
) -> np.datetime64 | None:
    """Return the minute of a day's sunset, by the usual definition of `night_hours`.

    Parameters
    ----------
    day : date
        Of the place's own calendar.
    latitude_deg, longitude_deg : float
        Degrees north and east.

    Returns
    -------
    datetime64 or None
        UTC; None where the sun does not set between noon and midnight.
    """
    noon = np.datetime64(day, "m") + (720 - round(4 * longitude_deg))
    minutes = noon + np.arange(720)
    # The ephemeris takes the middle of an hour that begins half an hour before.
    toward = _ephemeris((minutes - 30).astype("datetime64[s]"))
    sine = SunPath.seen_from(toward, Places(latitude_deg, longitude_deg)).sine
    down = has_set(sine)
    return None if down[0] or not down.any() else minutes[int(np.argmax(down))]


def has_set(sine: Float) -> NDArray[np.bool_]:
    """Return whether the sun is below the height of `night_hours`, of its sine."""
    return sine < _SUNSET_SINE
