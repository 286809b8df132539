"""A pot as the kernel sees it: shells, conductances, capacities, surfaces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.pot.model import BOTTOM_FILM_W_M2K, CONTACT_M2K_W, PotNumbers

Float = NDArray[np.floating]


@dataclass(frozen=True)
class Shells:
    """Radial finite volumes of a cylinder.

    Parameters
    ----------
    inward, outward : ndarray, shape (shell,)
        Conductance to the inner and outer neighbor over the shell's capacity. [1/s]
    shares : ndarray, shape (shell,)
        Share of each shell in the volume.
    half_resistance_m2k_w : float
        From the middle of the outermost shell to the wall.
    wall_per_capacity : float
        Wall area over the capacity of the outermost shell. [m2 K/J]
    """

    inward: Float
    outward: Float
    shares: Float
    half_resistance_m2k_w: float
    wall_per_capacity: float

    @classmethod
    def of(
        cls, radius_m: float, conductivity_w_mk: float, capacity_j_m3k: float, n_r: int
    ) -> Shells:
        """Return equal-width shells of a cylinder, per meter of height."""
        width = radius_m / n_r
        edge = np.arange(n_r + 1) * width
        area = np.pi * (edge[1:] ** 2 - edge[:-1] ** 2)
        between = 2 * np.pi * edge[1:-1] * conductivity_w_mk / width
        inward, outward = np.zeros(n_r), np.zeros(n_r)
        inward[1:] = between / (capacity_j_m3k * area[1:])
        outward[:-1] = between / (capacity_j_m3k * area[:-1])
        return cls(
            inward,
            outward,
            area / area.sum(),
            width / 2 / conductivity_w_mk,
            2 * np.pi * radius_m / (capacity_j_m3k * area[-1]),
        )


def parameters(pot: PotNumbers, shells: Shells) -> Float:
    """Return the kernel's parameters of a pot, shape (11,); see kernel.PARAMETERS."""
    k, fill = pot.conductivity_w_mk, pot.fill_m
    inner = shells.half_resistance_m2k_w + pot.wall_resistance_m2k_w + CONTACT_M2K_W
    # Top and bottom act on the mean of a column: H/3k from its middle half.
    to_end = fill / (3 * k)
    return np.array(
        [
            1 / inner,
            1 / to_end,
            1 / (1 / BOTTOM_FILM_W_M2K + to_end),
            shells.wall_per_capacity,
            1 / (pot.heat_capacity_j_m3k * fill),
            pot.wall_absorptance,
            pot.top_absorptance,
            pot.wall_emissivity,
            pot.top_emissivity,
            pot.wall_wetness,
            pot.top_wetness,
        ]
    )
