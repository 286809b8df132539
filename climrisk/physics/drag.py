"""Wind pressure on what stands in it: drag, overturning, sliding."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from climrisk.core.arrays import Float
from climrisk.core.constants import GRAVITY

#: Air at 15 °C and 1013.25 hPa.
AIR_DENSITY_KG_M3 = 1.225
#: Drag coefficient of an upright cylinder below the critical speed, on length times
#: diameter, by length over diameter (Matthews, Aeronautical Engineer's Data Book, fig.
#: 5.13, read off the figure).
_LENGTH_OVER_DIAMETER = (1.0, 2.0, 5.0, 10.0, 40.0)
_CYLINDER_DRAG = (0.63, 0.68, 0.74, 0.82, 0.98)


def cylinder_drag(length_over_diameter: ArrayLike) -> Float:
    """Return the drag coefficient of an upright cylinder, on length times diameter.

    Between the published points a straight line in the logarithm; held at the ends.
    NaN gives NaN.
    """
    return np.interp(
        np.log(length_over_diameter), np.log(_LENGTH_OVER_DIAMETER), _CYLINDER_DRAG
    )


def overturning_speed_m_s(
    mass_kg: ArrayLike,
    base_width_m: ArrayLike,
    drag_moment_m3: ArrayLike,
    *,
    air_density_kg_m3: float = AIR_DENSITY_KG_M3,
) -> Float:
    """Return the wind that tips a body over the edge of its base. [m/s]

    Parameters
    ----------
    mass_kg : array_like
        Its weight acts over the middle of the base.
    base_width_m : array_like
    drag_moment_m3 : array_like
        Sum over its parts of drag coefficient times area times height of the area's
        middle above the ground.

    Notes
    -----
    Balance of moments, ``rho u^2 / 2 sum(Cd A z) = m g b / 2``. A gust of three seconds
    lasts long enough to tip a pot, so no inertia is counted.
    """
    held = np.multiply(mass_kg, GRAVITY) * np.asarray(base_width_m) / 2
    square = 2 * held / np.multiply(air_density_kg_m3, drag_moment_m3)
    return np.asarray(np.sqrt(square))


def sliding_speed_m_s(
    mass_kg: ArrayLike,
    friction: ArrayLike,
    drag_area_m2: ArrayLike,
    *,
    air_density_kg_m3: float = AIR_DENSITY_KG_M3,
) -> Float:
    """Return the wind that pushes a body along the floor. [m/s]

    ``rho u^2 / 2 sum(Cd A) = friction m g``.
    """
    held = np.multiply(mass_kg, GRAVITY) * np.asarray(friction)
    square = 2 * held / np.multiply(air_density_kg_m3, drag_area_m2)
    return np.asarray(np.sqrt(square))
