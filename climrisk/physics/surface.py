"""The surface balance of a leaf: no heat store, so it settles at once.

A leaf takes longwave from above and below, gives off its own, takes sun, and trades
heat with the air. Stomata are taken as closed: at night they are, and by day a drying
plant in a pot is the case that matters.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from climrisk.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS_K
from climrisk.physics.convection import AIR_CONDUCTIVITY, AIR_PRANDTL, AIR_VISCOSITY

Float = NDArray[np.floating]

LEAF_EMISSIVITY = 0.96  # Idso et al. 1969, Ecology 50:899 (from memory: 0.94 to 0.98)
LEAF_ABSORPTANCE = 0.5  # all sunlight, leaves in general (Gates 1980, from memory)
LEAF_LENGTH_M = 0.08


def leaf_film_w_m2k(wind_m_s: Float, length_m: float = LEAF_LENGTH_M) -> Float:
    """Return the film coefficient of one side of a leaf. [W/m²/K]

    Laminar flow over a flat plate, ``Nu = 0.664 Re^(1/2) Pr^(1/3)`` (Cengel & Ghajar
    eq. 7-21), raised by 1.4 for outdoor turbulence (common practice, no source).
    """
    reynolds = wind_m_s * (length_m / AIR_VISCOSITY)
    scale = 1.4 * 0.664 * AIR_PRANDTL ** (1 / 3) * AIR_CONDUCTIVITY / length_m
    return np.asarray(np.sqrt(reynolds) * scale)


def leaf_temp_c(
    air_c: Float,
    wind_m_s: Float,
    longwave_above_w_m2: Float,
    surroundings_c: Float,
    solar_w_m2: Float,
) -> Float:
    """Return leaf temperature by the surface balance without heat store. [°C]

    Parameters
    ----------
    air_c, wind_m_s : ndarray, shape (time, case)
        At the plant.
    longwave_above_w_m2 : ndarray
        Arriving from above.
    surroundings_c : ndarray
        Of what the lower side sees, taken as black.
    solar_w_m2 : ndarray
        Sunlight on the level leaf.

    Returns
    -------
    ndarray, shape (time, case)
        Two Newton steps from the air temperature, within 0.02 K of the root for
        leaves up to 15 K from the air; NaN where an input is NaN.
    """
    kelvin = air_c + np.float32(ZERO_CELSIUS_K)
    below = surroundings_c + np.float32(ZERO_CELSIUS_K)
    below *= below
    below *= below
    gain = LEAF_EMISSIVITY * (
        longwave_above_w_m2 + np.float32(STEFAN_BOLTZMANN) * below
    )
    gain += np.float32(LEAF_ABSORPTANCE) * solar_w_m2
    film = 2 * leaf_film_w_m2k(wind_m_s)
    scale = np.float32(2 * LEAF_EMISSIVITY * STEFAN_BOLTZMANN)
    leaf = kelvin
    for _ in range(2):
        cube = leaf * leaf * leaf
        excess = gain - scale * cube * leaf + film * (kelvin - leaf)
        leaf = leaf + excess / (4 * scale * cube + film)
    return np.asarray(leaf - np.float32(ZERO_CELSIUS_K))
