"""From wind to heat transfer of pot-sized bodies. NaN in gives NaN out."""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.constants import GRAVITY, STANDARD_PRESSURE_PA, ZERO_CELSIUS_K

# Dry air at 10 °C and sea level, CoolProp values as used by the pot-size checks:
# conductivity [W/m/K], kinematic viscosity [m2/s], Prandtl number [-].
AIR_CONDUCTIVITY, AIR_VISCOSITY, AIR_PRANDTL = 0.02512, 1.4204e-5, 0.7093


def air_viscosity_m2_s(pressure_pa: float = STANDARD_PRESSURE_PA) -> float:
    """Return the kinematic viscosity of air at 10 °C. [m²/s]

    The dynamic viscosity does not depend on pressure, so thinner air is more viscous in
    proportion (Cengel & Ghajar, ch. 1: ``nu = mu / rho``). Conductivity and Prandtl
    number do not change.
    """
    return AIR_VISCOSITY * STANDARD_PRESSURE_PA / pressure_pa


def cylinder_in_wind_nusselt(reynolds: Float, prandtl: float = AIR_PRANDTL) -> Float:
    """Return Nu of a cylinder in cross flow, Churchill & Bernstein 1977.

    Cengel & Ghajar, Heat and Mass Transfer, 5th ed., eq. 7-35.
    """
    first = 0.62 * np.sqrt(reynolds) * prandtl ** (1 / 3)
    second = (1 + (0.4 / prandtl) ** (2 / 3)) ** 0.25
    third = (1 + (reynolds / 282_000) ** (5 / 8)) ** (4 / 5)
    out: Float = 0.3 + first / second * third
    return out


def still_wall_nusselt(rayleigh: Float, prandtl: float = AIR_PRANDTL) -> Float:
    """Return Nu of an upright wall in still air, laminar, Churchill & Chu 1975."""
    below = (1 + (0.492 / prandtl) ** (9 / 16)) ** (4 / 9)
    out: Float = 0.68 + 0.67 * rayleigh**0.25 / below
    return out


def still_top_nusselt(rayleigh: Float, *, warm: bool) -> Float:
    """Return Nu of a level surface in still air, warmer or colder than the air.

    Cengel & Ghajar eqs. 9-22 and 9-24: 0.54 and 0.27 Ra^(1/4), length area/perimeter.
    """
    return (0.54 if warm else 0.27) * rayleigh**0.25


def rayleigh(
    difference_k: float,
    length_m: float,
    air_c: float = 10.0,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> float:
    """Return the Rayleigh number of a surface `difference_k` from the air."""
    beta = 1.0 / (air_c + ZERO_CELSIUS_K)
    viscosity = air_viscosity_m2_s(pressure_pa)
    grashof = GRAVITY * beta * difference_k * length_m**3 / viscosity**2
    return grashof * AIR_PRANDTL


def mixed(wind_w_m2k: Float, still_w_m2k: float) -> Float:
    """Return the film coefficient of wind and buoyancy together. [W/m²/K]

    Cube root of the sum of cubes, common engineering practice (n = 3 to 4).
    """
    return np.asarray(np.cbrt(wind_w_m2k**3 + still_w_m2k**3))


def wall_film_w_m2k(
    wind_m_s: Float,
    diameter_m: float,
    height_m: float,
    difference_k: float = 2.0,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> Float:
    """Return the film coefficient of a pot's wall. [W/m²/K]

    Parameters
    ----------
    wind_m_s : ndarray of float
        Wind at the pot.
    diameter_m, height_m : float
    difference_k : float
        Wall minus air, for the buoyant part; 2 K is usual at night.
    pressure_pa : float
        Of the air at the pot.
    """
    in_wind = _cylinder_film_w_m2k(wind_m_s, diameter_m, pressure_pa)
    ra = np.asarray(rayleigh(difference_k, height_m, pressure_pa=pressure_pa))
    still = float(still_wall_nusselt(ra)) * AIR_CONDUCTIVITY / height_m
    return mixed(in_wind, still)


def top_film_w_m2k(
    wind_m_s: Float,
    diameter_m: float,
    difference_k: float = 2.0,
    pressure_pa: float = STANDARD_PRESSURE_PA,
) -> Float:
    """Return the film coefficient of a pot's top, colder than the air. [W/m²/K]"""
    in_wind = _cylinder_film_w_m2k(wind_m_s, diameter_m, pressure_pa)
    length = diameter_m / 4.0  # area over perimeter
    ra = np.asarray(rayleigh(difference_k, length, pressure_pa=pressure_pa))
    still = float(still_top_nusselt(ra, warm=False)) * AIR_CONDUCTIVITY / length
    return mixed(in_wind, still)


def _cylinder_film_w_m2k(
    wind_m_s: Float, diameter_m: float, pressure_pa: float
) -> Float:
    reynolds = wind_m_s * diameter_m / air_viscosity_m2_s(pressure_pa)
    return cylinder_in_wind_nusselt(reynolds) * AIR_CONDUCTIVITY / diameter_m
