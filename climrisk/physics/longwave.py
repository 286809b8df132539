"""Longwave radiation of sky and surroundings. NaN in gives NaN out."""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS_K


def clear_sky_emissivity(dew_point_c: Float) -> Float:
    """Return the emissivity of a cloudless sky, Berdahl & Martin 1984. [-]

    Solar Energy 32:663, monthly form ``0.711 + 0.56 x + 0.73 x²`` with x = Td / 100.
    """
    x = dew_point_c / 100.0
    return 0.711 + 0.56 * x + 0.73 * x * x


def sky_emissivity(dew_point_c: Float, cloud_cover_frac: Float) -> Float:
    """Return the emissivity of a sky with cloud, Crawford & Duchon 1999. [-]

    J. Appl. Meteor. 38:474, ``c + (1 - c) eps_clear``.
    """
    clear = clear_sky_emissivity(dew_point_c)
    return cloud_cover_frac + (1.0 - cloud_cover_frac) * clear


def black_flux_w_m2(temp_c: Float) -> Float:
    """Return the flux of a black surface. [W/m²]"""
    kelvin = temp_c + ZERO_CELSIUS_K
    square = kelvin * kelvin
    return STEFAN_BOLTZMANN * square * square


def wall_sky_view(horizon_deg: float) -> float:
    """Return the sky view factor of a wall under a uniform horizon. [-]

    ``(1/pi) [(pi/2 - b) - sin b cos b]``: view-factor algebra for an isotropic sky;
    0.5 for an open horizon.
    """
    b = np.deg2rad(horizon_deg)
    return float((np.pi / 2 - b - np.sin(b) * np.cos(b)) / np.pi)


def top_sky_view(horizon_deg: float) -> float:
    """Return the sky view factor of a level surface, ``cos² b``. [-]"""
    return float(np.cos(np.deg2rad(horizon_deg)) ** 2)
