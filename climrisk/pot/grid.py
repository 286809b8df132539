"""A pot as the kernel sees it: shells, conductances, capacities, surfaces."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from climrisk.core.arrays import Float
from climrisk.pot.layers import Layer
from climrisk.pot.media import WATER_J_M3K, WATER_KG_M3
from climrisk.pot.model import PotNumbers

#: Latent heat of freezing of a volume of water, and what its heat capacity loses.
FREEZING_J_M3, LOST_J_M3K = 3.34e8, WATER_J_M3K - 1.9e6
#: Conductivity gains so much at a water share of 0.4 when all is frozen (first guess
#: after frozen and thawed volcanic fills).
_FROZEN_GAIN, _FROZEN_WATER = 0.25, 0.4
#: A wall that stores more than this is a ring of its own: a quarter of what the
#: outermost ring of wet medium stores.
THICK_WALL_J_M2K = 5000.0
#: A wall conducts no better than this: metal would be the stiffest part of the matrix.
_LEAST_RESISTANCE_M2K_W = 2e-4


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


def column(pot: PotNumbers, n_r: int) -> Shells:
    """Return the shells of a pot; its layers are spread over the height."""
    return Shells.of(pot.radius_m, pot.conductivity_w_mk, mean_capacity(pot), n_r)


def mean_capacity(pot: PotNumbers) -> float:
    """Return the heat capacity of medium and layers together. [J/m3/K]"""
    stack = _Stack.of(pot)
    return stack.mean(stack.capacity, 0.0, pot.fill_m)


def mean_water(pot: PotNumbers) -> float:
    """Return the water content of medium and layers together. [m3/m3]"""
    stack = _Stack.of(pot)
    return stack.mean(stack.water, 0.0, pot.fill_m)


def holds_kg(pot: PotNumbers) -> float:
    """Return the water that the medium of a pot holds when just watered. [kg]"""
    layers = sum(x.thickness_m for x in (*pot.below, *pot.above))
    volume = np.pi * pot.radius_m**2 * (pot.fill_m - layers)
    return float(WATER_KG_M3 * pot.water_m3_m3 * volume)


def parameters(pot: PotNumbers, shells: Shells) -> Float:
    """Return the kernel's parameters of a column, shape (12,); see its PARAMETERS."""
    k, fill = pot.conductivity_w_mk, pot.fill_m
    inner = shells.half_resistance_m2k_w + pot.wall_resistance_m2k_w + pot.contact_m2k_w
    # Top and bottom act on the mean of a column: H/3k from its middle half.
    to_end = fill / (3 * k)
    return np.array(
        [
            1 / inner,
            1 / to_end,
            1 / (1 / pot.bottom_w_m2k + to_end),
            shells.wall_per_capacity,
            1 / (mean_capacity(pot) * fill),
            *surfaces(pot),
            FREEZING_J_M3 * mean_water(pot) / mean_capacity(pot),
        ]
    )


def surfaces(pot: PotNumbers) -> Float:
    """Return absorptance, emissivity and wetness, each of wall and top."""
    return np.array(
        [
            pot.wall_absorptance,
            pot.top_absorptance,
            pot.wall_emissivity,
            pot.top_emissivity,
            pot.wall_wetness,
            pot.top_wetness,
        ]
    )


@dataclass(frozen=True)
class Rings:
    """A pot as ring volumes, from the axis outwards, then upwards.

    Parameters
    ----------
    n_r, n_z : int
        Volumes of a layer, the wall's among them, and layers.
    records : ndarray, shape (13, volume)
        As `kernel.Volumes` takes them, without ice.
    """

    n_r: int
    n_z: int
    records: Float

    @classmethod
    def of(cls, pot: PotNumbers, n_r: int, n_z: int) -> Rings:
        """Cut a pot into volumes of equal width and height.

        A thick wall is one more ring; the heat of a thin one counts with the outermost.

        A layer's share in a volume counts by its thickness: conductivities side by side
        outwards, one after another upwards.
        """
        radius, height = pot.radius_m, pot.fill_m / n_z
        edge = np.linspace(0.0, radius, n_r + 1)
        area = np.pi * np.diff(edge**2)
        stack = _Stack.of(pot)
        floor = np.arange(n_z) * height
        middle = floor + height / 2

        def mean(values: Float) -> Float:
            return np.array([stack.mean(values, z, z + height) for z in floor])

        k, capacity, water = (
            mean(v) for v in (stack.conductivity, stack.capacity, stack.water)
        )
        upwards = np.array(
            [stack.resistance(a, a + height) for a in middle[:-1]] + [np.inf]
        )
        thick = pot.wall_heat_capacity_j_m2k > THICK_WALL_J_M2K
        columns = n_r + thick
        out = np.zeros((13, n_z, columns))
        volume = area * height
        out[0, :, :n_r] = FREEZING_J_M3 * water[:, None] * volume
        out[1, :, :n_r] = capacity[:, None] * volume
        out[2, :, :n_r] = LOST_J_M3K * water[:, None] * volume
        width = radius / n_r
        out[3, :, : n_r - 1] = 2 * np.pi * edge[1:-1] * height * k[:, None] / width
        out[4, :, :n_r] = area / upwards[:, None]
        out[5, :, :n_r] = _FROZEN_GAIN * water[:, None] / _FROZEN_WATER
        side = 2 * np.pi * radius * height
        wall = max(pot.wall_resistance_m2k_w, _LEAST_RESISTANCE_M2K_W)
        to_wall = width / 2 / k + pot.contact_m2k_w
        if thick:
            out[1, :, n_r] = pot.wall_heat_capacity_j_m2k * side
            out[3, :, n_r - 1] = side / (to_wall + wall / 2)
            out[6, :, n_r] = 2 * side / wall
        else:
            out[1, :, n_r - 1] += pot.wall_heat_capacity_j_m2k * side
            out[6, :, n_r - 1] = side / (to_wall + pot.wall_resistance_m2k_w)
        out[7, :, columns - 1] = side
        out[8, -1, :n_r] = area / stack.resistance(middle[-1], pot.fill_m)
        out[9, -1, :n_r] = area
        if pot.bottom_w_m2k > 0:
            down = stack.resistance(0.0, middle[0]) + 1 / pot.bottom_w_m2k
            out[10, 0, :n_r] = area / down
        medium = mean(stack.is_medium)
        out[11, :, :n_r] = medium[:, None] * area
        out[11] /= out[11].sum()
        return cls(columns, n_z, out.reshape(13, -1))


@dataclass(frozen=True)
class _Stack:
    """Layers of a pot from the bottom up, by their upper edges."""

    edges: Float
    conductivity: Float
    capacity: Float
    water: Float
    is_medium: Float

    @classmethod
    def of(cls, pot: PotNumbers) -> _Stack:
        others = sum(x.thickness_m for x in (*pot.below, *pot.above))
        own = (
            pot.fill_m - others,
            pot.conductivity_w_mk,
            pot.heat_capacity_j_m3k,
            pot.water_m3_m3,
            1.0,
        )

        def row(x: Layer) -> tuple[float, ...]:
            return (
                x.thickness_m,
                x.conductivity_w_mk,
                x.heat_capacity_j_m3k,
                x.water_m3_m3,
                0.0,
            )

        rows = [*map(row, pot.below), own, *map(row, pot.above)]
        thick, k, c, w, is_medium = np.array(rows).T
        return cls(np.concatenate([[0.0], np.cumsum(thick)]), k, c, w, is_medium)

    def _within(self, low: float, high: float) -> Float:
        top, bottom = np.minimum(self.edges[1:], high), np.maximum(self.edges[:-1], low)
        return np.asarray(np.maximum(top - bottom, 0.0))

    def mean(self, values: Float, low: float, high: float) -> float:
        return float(self._within(low, high) @ values / (high - low))

    def resistance(self, low: float, high: float) -> float:
        return float((self._within(low, high) / self.conductivity).sum())
