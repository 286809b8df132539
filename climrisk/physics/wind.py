"""Wind near the ground."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from climrisk.core.arrays import Float

#: Short grass of the reference field, 12 cm high: roughness 0.123 and displacement 2/3
#: of its height (Allen et al. 1998, FAO-56, box 4). [m]
GRASS_ROUGHNESS_M, GRASS_DISPLACEMENT_M = 0.123 * 0.12, 2 / 3 * 0.12


def log_profile_ratio(
    height_m: ArrayLike,
    reference_m: ArrayLike = 10.0,
    *,
    roughness_m: float = GRASS_ROUGHNESS_M,
    displacement_m: float = GRASS_DISPLACEMENT_M,
) -> Float:
    """Return the wind at a height over the wind at a reference height.

    Parameters
    ----------
    height_m, reference_m : array_like
        Above the ground; NaN gives NaN. [m]
    roughness_m, displacement_m : float
        Of the ground; those of short grass where not given. [m]

    Returns
    -------
    ndarray
        At least 0: below ``displacement + roughness`` there is no mean wind.

    Notes
    -----
    ``ln((z - d) / z0) / ln((z_ref - d) / z0)``, of which eq. 47 of FAO Irrigation and
    Drainage Paper 56 (Allen et al. 1998), ``4.87 / ln(67.8 z - 5.42)``, is the case of
    2 m over grass.
    """
    above = np.maximum(np.subtract(height_m, displacement_m), roughness_m)
    base = np.subtract(reference_m, displacement_m)
    return np.asarray(np.log(above / roughness_m) / np.log(base / roughness_m))
