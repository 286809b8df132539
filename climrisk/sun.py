"""Where the sun stands at mid-hour, and the sunlight that comes with it."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from climrisk.remembered import remembered

Float = NDArray[np.floating]

_CYCLE_H = 1461 * 24  # four years, leap day included


@dataclass(frozen=True)
class SunPath:
    """The sun at the middle of each hour.

    Parameters
    ----------
    elevation_deg, azimuth_deg : ndarray of float, shape (time,)
        Geometric height above the horizon; azimuth clockwise from north.
    """

    elevation_deg: Float
    azimuth_deg: Float

    @property
    def sin_elevation(self) -> Float:
        """Sine of the height, at least 0."""
        return np.maximum(np.sin(np.deg2rad(self.elevation_deg)), 0.0)


def sun_path(
    time: NDArray[np.datetime64], latitude_deg: float, longitude_deg: float
) -> SunPath:
    """Return the sun's position at the middle of each hour.

    Parameters
    ----------
    time : ndarray of datetime64, shape (time,)
        UTC starts of consecutive hours.
    latitude_deg, longitude_deg : float
        Degrees north and east.

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
    name = f"{part[0]}_{len(part)}_{latitude_deg:.5f}_{longitude_deg:.5f}"
    compute = partial(_ephemeris, part, latitude_deg, longitude_deg)
    sun = remembered("sun", name, (2, len(part)), compute)
    where = (np.arange(n) - first) % len(part)
    return SunPath(sun[0][where].astype(float), sun[1][where].astype(float))


def _ephemeris(
    hours: NDArray[np.datetime64], latitude_deg: float, longitude_deg: float
) -> Float:
    """Return height and azimuth at mid-hour, float32, shape (2, time). [°]"""
    import pandas as pd
    from pvlib import solarposition

    middle = pd.DatetimeIndex(hours + np.timedelta64(1800, "s")).tz_localize("UTC")
    with warnings.catch_warnings():
        # pvlib's own use of a pandas name on its way out; nothing a user can do.
        warnings.simplefilter("ignore")
        sun = solarposition.ephemeris(middle, latitude_deg, longitude_deg)
    return np.stack([sun["elevation"], sun["azimuth"]]).astype(np.float32)


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
    s = sun.sin_elevation[:, None]
    # Extraterrestrial flux with the mean solar constant; its 3 % yearly swing is small
    # beside the scatter of the split.
    kt = np.clip(ghi_w_m2 / np.maximum(1361.0 * s, 1.0), 0.0, 1.0)
    low = 1.0 - 0.09 * kt
    mid = 0.9511 - 0.1604 * kt + 4.388 * kt**2 - 16.638 * kt**3 + 12.336 * kt**4
    share = np.where(kt <= 0.22, low, np.where(kt <= 0.80, mid, 0.165))
    dhi = np.where(s > np.sin(np.deg2rad(3.0)), share, 1.0) * ghi_w_m2
    dni = np.minimum((ghi_w_m2 - dhi) / np.maximum(s, 0.05), 1100.0)
    return dni, dhi


def night_hours(sun: SunPath) -> NDArray[np.bool_]:
    """Return the hours from sunset to an hour after sunrise, shape (time,).

    An hour counts as night when the sun's center stands below -0.83° (refraction and
    half the disc, the usual definition of sunrise) at mid-hour; the hour after the
    last such hour is added, because screens go on cooling after sunrise.
    """
    dark = sun.elevation_deg < -0.83
    after = np.zeros_like(dark)
    after[1:] = dark[:-1] & ~dark[1:]
    return dark | after
