"""Surface balances of a leaf and of a pane: no heat store, so they settle at once.

A leaf takes longwave from above and below, gives off its own, takes sun, and trades
heat with the air. Stomata are taken as closed: at night they are, and by day a drying
plant in a pot is the case that matters.
"""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.constants import (
    STANDARD_PRESSURE_PA,
    STEFAN_BOLTZMANN,
    ZERO_CELSIUS_K,
)
from climrisk.physics.convection import (
    AIR_CONDUCTIVITY,
    AIR_PRANDTL,
    air_viscosity_m2_s,
)
from climrisk.physics.longwave import black_flux_w_m2
from climrisk.physics.pointwise import Pointwise

#: Upper sides of nine crops: 0.973 to 0.985 (López et al. 2012, Sci. Hortic. 137:49,
#: abstract).
LEAF_EMISSIVITY = 0.98
LEAF_ABSORPTANCE = 0.5  # all sunlight, leaves in general (Gates 1980, from memory)
LEAF_LENGTH_M = 0.08
_LEAF_OWN = 2 * LEAF_EMISSIVITY * STEFAN_BOLTZMANN
#: Film inside a pane, convection and radiation together: ISO 6946, horizontal heat
#: flow. [m²K/W]
PANE_FILM_M2K_W = 0.13
_PANE_EMISSIVITY = 0.84  # uncoated glass, EN 12898 (memory)
# Convection outside a pane: ISO 6946, ``4 + 4 v`` with the wind before it (memory).
_PANE_STILL_W_M2K, _PANE_PER_WIND = 4.0, 4.0

#: Film of a leaf over that of a rigid smooth plate in laminar flow: 1.4 ± 0.1 was
#: measured on single fluttering leaves at Reynolds numbers from 2,000 to 40,000, up to
#: 2 in a crop (Schuepp 1972, Boundary-Layer Meteorol. 2:263, abstract); 1.5 in Bonan
#: 2019, Climate Change and Terrestrial Ecosystem Modeling, program 10.2. By a smooth
#: plate a leaf under a clear sky comes out 0.5-0.7 K colder.
LEAF_OVER_PLATE = 1.4


def leaf_film_w_m2k(
    wind_m_s: Float,
    length_m: float = LEAF_LENGTH_M,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> Float:
    """Return the film coefficient of one side of a leaf. [W/m²/K]

    Laminar flow over a flat plate, ``Nu = 0.664 Re^(1/2) Pr^(1/3)`` (Cengel & Ghajar
    eq. 7-21), times `LEAF_OVER_PLATE`. Buoyancy is left out: at the least wind of
    0.1 m/s it would add 2 %.
    """
    reynolds = wind_m_s * (length_m / air_viscosity_m2_s(pressure_pa))
    plate = 0.664 * AIR_PRANDTL ** (1 / 3) * AIR_CONDUCTIVITY / length_m
    return np.asarray(np.sqrt(reynolds) * (LEAF_OVER_PLATE * plate))


def leaf_film_at_1_m_s(pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Return the film coefficient of one side of a leaf in a wind of 1 m/s. [W/m²/K]

    The film goes with the root of the wind.
    """
    return float(leaf_film_w_m2k(np.asarray(1.0), pressure_pa=pressure_pa))


def leaf_temp_c(
    air_c: Float,
    wind_m_s: Float,
    longwave_above_w_m2: Float,
    surroundings_c: Float,
    solar_w_m2: Float,
    *,
    pressure_pa: float = STANDARD_PRESSURE_PA,
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
    pressure_pa : float
        Of the air at the plant.

    Returns
    -------
    ndarray, shape (time, case)
        Two Newton steps from the air temperature, within 0.02 K of the root for
        leaves up to 15 K from the air; NaN where an input is NaN.
    """
    given = (air_c, wind_m_s, longwave_above_w_m2, surroundings_c, solar_w_m2)
    return leaf_balance_c(*given, leaf_film_at_1_m_s(pressure_pa))


def leaf_balance_c(
    air_c: Float,
    wind_m_s: Float,
    longwave_above_w_m2: Float,
    surroundings_c: Float,
    solar_w_m2: Float,
    film_w_m2k: float,
) -> Float:
    """Return `leaf_temp_c` by the film of one side in a wind of 1 m/s. [°C]"""
    kelvin = air_c + ZERO_CELSIUS_K
    from_below = black_flux_w_m2(surroundings_c)
    gain = LEAF_EMISSIVITY * (longwave_above_w_m2 + from_below)
    gain = gain + LEAF_ABSORPTANCE * solar_w_m2
    film = 2.0 * film_w_m2k * np.sqrt(wind_m_s)
    leaf = _leaf_step(kelvin, kelvin, gain, film)
    return _leaf_step(leaf, kelvin, gain, film) - ZERO_CELSIUS_K


def _leaf_step(leaf: Float, air: Float, gain: Float, film: Float) -> Float:
    """Return a Newton step of a leaf that gives off longwave on both sides. [K]"""
    cube = leaf * leaf * leaf
    excess = gain - _LEAF_OWN * cube * leaf + film * (air - leaf)
    return leaf + excess / (4.0 * _LEAF_OWN * cube + film)


LEAF = Pointwise(
    leaf_balance_c,
    "fffffc",
    sources=("climrisk.physics.longwave", "climrisk.core.constants"),
)


def pane_temp_c(
    inside_c: Float,
    outside_c: Float,
    wind_m_s: Float,
    from_sky_w_m2: Float,
    sky_view: float,
) -> Float:
    """Return the temperature of a single pane. [°C]

    Heat from inside through one film goes outdoors by convection, and as longwave to
    the sky; what else the pane sees outdoors is as warm as the air. Single glass is as
    warm on both faces within 0.1 K. Sunlight in the glass is left out: it would warm a
    pane by up to 3 K at noon.

    Parameters
    ----------
    inside_c, outside_c : ndarray of float
        Air on both sides.
    wind_m_s : ndarray of float
        Before the pane.
    from_sky_w_m2 : ndarray of float
        Longwave of the whole sky on level ground.
    sky_view : float
        Of the pane.

    Returns
    -------
    ndarray
        Linear about the air outdoors, within 0.1 K of the root for panes up to 10 K
        from it; NaN where an input is NaN.
    """
    kelvin = outside_c + ZERO_CELSIUS_K
    slope = STEFAN_BOLTZMANN * kelvin * kelvin * kelvin
    lacking = sky_view * (slope * kelvin - from_sky_w_m2)
    inner = 1.0 / PANE_FILM_M2K_W
    outer = _PANE_STILL_W_M2K + _PANE_PER_WIND * wind_m_s
    gain = inner * (inside_c - outside_c) - _PANE_EMISSIVITY * lacking
    out: Float = outside_c + gain / (inner + outer + 4.0 * _PANE_EMISSIVITY * slope)
    return out
