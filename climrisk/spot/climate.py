"""What a spot hands on to leaf and pot; nothing after it reduces wind, sky or sun."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float


@dataclass(frozen=True)
class SpotClimate:
    """Hourly climate at the plant, every array of shape (time, case).

    A case is a member of the spread, or a grid cell. NaN is unknown.

    Parameters
    ----------
    time : ndarray of datetime64[m], shape (time,)
        UTC start of each hour.
    air_c, dew_point_c : ndarray
        Air at the plant. [°C]
    wind_m_s : ndarray
        Wind at the plant, never below 0.1. [m/s]
    gust_m_s : ndarray
        Gusts at the plant, as recorded or by the mean wind; NaN where the record knows
        neither. [m/s]
    longwave_wall_w_m2, longwave_top_w_m2 : ndarray
        Longwave arriving on an upright wall (mean around) and on a level top, from
        sky and surroundings together. [W/m²]
    solar_wall_w_m2, solar_top_w_m2 : ndarray
        Sunlight arriving on the wall (mean around) and on the top, before absorption.
        [W/m²]
    surroundings_c, floor_c : ndarray
        Temperature of what stands around, and of the floor below. [°C]
    leaf_c : ndarray
        Leaf temperature by the surface balance without heat store. [°C]
    rain_reaches : bool
        Whether rain falls on the pot.
    pressure_pa : float
        Air pressure of the place. [Pa]
    """

    time: NDArray[np.datetime64]
    air_c: Float
    dew_point_c: Float
    wind_m_s: Float
    gust_m_s: Float
    longwave_wall_w_m2: Float
    longwave_top_w_m2: Float
    solar_wall_w_m2: Float
    solar_top_w_m2: Float
    surroundings_c: Float
    floor_c: Float
    leaf_c: Float
    rain_reaches: bool
    pressure_pa: float

    def hours(self, part: slice) -> SpotClimate:
        """Return some of its hours; the arrays are views."""
        cut: dict[str, Any] = {
            f.name: value[part]
            for f in fields(self)
            if isinstance(value := getattr(self, f.name), np.ndarray)
        }
        return replace(self, **cut)
