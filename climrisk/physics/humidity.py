"""Moist air. Plain arrays in and out; NaN in gives NaN out."""

from __future__ import annotations

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.constants import CP_AIR, EPSILON_WATER_AIR, LEWIS_TWO_THIRDS

# Magnus coefficients: WMO-No. 8 (CIMO guide), annex 4.B.
_A_HPA, _WATER, _ICE = 6.112, (17.62, 243.12), (22.46, 272.62)


def saturation_pressure_pa(temp_c: Float, *, over_ice: bool = False) -> Float:
    """Return the saturation vapor pressure by the Magnus form of WMO-No. 8. [Pa]

    Parameters
    ----------
    temp_c : ndarray of float
        Temperature. [°C]
    over_ice : bool
        Over ice instead of liquid water.
    """
    b, c = _ICE if over_ice else _WATER
    return 100.0 * _A_HPA * np.exp(b * temp_c / (c + temp_c))


def vapor_pressure_pa(air_temp_c: Float, rel_humidity_pct: Float) -> Float:
    """Return the vapor pressure; stations report humidity over water. [Pa]"""
    return saturation_pressure_pa(air_temp_c) * rel_humidity_pct / 100.0


def dew_point_c(vapor_pa: Float) -> Float:
    """Return the dew point over water, the inverse Magnus form of WMO-No. 8. [°C]

    Parameters
    ----------
    vapor_pa : ndarray of float
        Vapor pressure, above 0. [Pa]
    """
    b, c = _WATER
    x = np.log(np.maximum(vapor_pa, 0.1) / (100.0 * _A_HPA))
    return c * x / (b - x)


def dew_point_from_humidity_c(air_temp_c: Float, rel_humidity_pct: Float) -> Float:
    """Return the dew point of air of a temperature and relative humidity. [°C]"""
    return dew_point_c(vapor_pressure_pa(air_temp_c, rel_humidity_pct))


def rel_humidity_pct(air_temp_c: Float, dew_point_c: Float) -> Float:
    """Return the relative humidity over water, at most 100. [%]"""
    return rel_humidity_and_vpd(air_temp_c, dew_point_c)[0]


def vpd_kpa(air_temp_c: Float, dew_point_c: Float) -> Float:
    """Return the vapor pressure deficit, at least 0. [kPa]"""
    return rel_humidity_and_vpd(air_temp_c, dew_point_c)[1]


def rel_humidity_and_vpd(air_temp_c: Float, dew_point_c: Float) -> tuple[Float, Float]:
    """Return `rel_humidity_pct` and `vpd_kpa`."""
    most, held = (saturation_pressure_pa(x) for x in (air_temp_c, dew_point_c))
    return np.minimum(100.0 * (held / most), 100.0), np.maximum(most - held, 0.0) / 1e3


def latent_heat_j_kg(temp_c: Float) -> Float:
    """Return the latent heat of vaporization, FAO-56 annex 3 eq. 3-1. [J/kg]"""
    return 2.501e6 - 2361.0 * temp_c


def psychrometric_pa_k(temp_c: Float, pressure_pa: float) -> Float:
    """Return cp P Le^(2/3) / (epsilon lambda) of a freely wet surface. [Pa/K]

    The Lewis relation of Chilton and Colburn (Cengel & Ghajar, Heat and Mass
    Transfer, ex. 14-13); 59 Pa/K at 0 °C and 1013 hPa.
    """
    return (
        CP_AIR
        * pressure_pa
        * LEWIS_TWO_THIRDS
        / (EPSILON_WATER_AIR * latent_heat_j_kg(temp_c))
    )


def pressure_at_height_pa(elevation_m: float) -> float:
    """Return the standard-atmosphere pressure at a height, FAO-56 eq. 7. [Pa]"""
    return 101_300.0 * float(((293.0 - 0.0065 * elevation_m) / 293.0) ** 5.26)
