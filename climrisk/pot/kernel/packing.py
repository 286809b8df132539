"""What the kernel marches: two interiors, and their numbers laid out for it."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from climrisk.pot.kernel import column_rows as shells
from climrisk.pot.kernel import volume_rows as rings
from climrisk.pot.kernel.simd_layout import HEAD, LANES, WETNESS, head, packed, unpacked

#: Rows of the parameter array of a column, one column a case.
PARAMETERS = (
    "wall_conductance",  # wall inner: half shell, wall, contact [W/m2/K]
    "top_conductance",  # top inner: 3 k / H [W/m2/K]
    "bottom_conductance",  # medium to floor [W/m2/K]
    "wall_per_capacity",  # 2 pi R over the outer shell's capacity [m2 K/J]
    "top_per_capacity",  # 1 / (C H) [m2 K/J]
    "wall_absorptance",
    "top_absorptance",
    "wall_emissivity",
    "top_emissivity",
    "wall_wetness",
    "top_wetness",
    "latent",  # heat of freezing of the water over the heat capacity [K]
)


class PackedColumn(NamedTuple):
    """Shells of one layer; arrays of one floating type, cases last.

    Parameters
    ----------
    inward, outward : float array (shell, case)
        Conductance to the inner and outer neighbor over the shell's capacity. [1/s]
    parameters : float array (12, case)
        By `PARAMETERS`.
    shares : float array (shell,)
        Share of each shell in the volume.
    """

    inward: Any
    outward: Any
    parameters: Any
    shares: Any

    @property
    def cells(self) -> int:
        """Number of shells."""
        return len(self.shares)


class Volumes(NamedTuple):
    """Volumes in r and z, from the axis outwards, then upwards.

    Parameters
    ----------
    n_r, n_z : int
        Volumes of a layer, and layers.
    surfaces : float array (6, case)
        Absorptance, emissivity and wetness, each of wall and top.
    records : float array (13, volume, case)
        Latent heat of its water [J], capacity thawed and its loss when frozen [J/K],
        conductance outwards and upwards thawed [W/K], their gain when frozen [-],
        conductance to wall surface [W/K] and its area [m2], the same of the top,
        conductance to the floor [W/K], share of the medium, ice at the start [-].
    water : float array (5, case), optional
        Held at the start, held below which evaporation falls, held when full [kg],
        hours between waterings, and since the last. Without it the surfaces keep
        their wetness.
    """

    n_r: int
    n_z: int
    surfaces: Any
    records: Any
    water: Any = None

    @property
    def cells(self) -> int:
        """Number of volumes."""
        return self.n_r * self.n_z


class Ends(NamedTuple):
    """What a march leaves behind.

    Parameters
    ----------
    state : float array (volume, case)
        Temperatures after the last hour. [°C]
    ice : float array (volume, case)
        Frozen share of the water.
    water : float array (4, case), optional
        Held, evaporated less dew, watered, and run off. [kg]
    """

    state: Any
    ice: Any
    water: Any = None


def band_width(n_r: int, n_z: int) -> int:
    """Return the half-width of the matrix of volumes."""
    return n_r if n_z > 1 else 1


def work_of(
    pot: PackedColumn | Volumes, first: Any, film: Any, start: Any, gdt: Any, kind: Any
) -> Any:
    """Return the blocks that the loop works on, float array (block, row * LANES).

    Parameters
    ----------
    pot : PackedColumn or Volumes
    first : float array (8, case)
        Forcing at the first hour.
    film : float array (2, FILM_TERMS, case)
    start : float array (volume, case)
    gdt : float
        The implicit part of a step. [s]
    kind : type
    """
    if isinstance(pot, PackedColumn):
        return _work_of_column(first, film, pot, start, gdt, kind)
    return _work_of_volumes(first, film, pot, start, gdt, kind)


def ends_of(pot: PackedColumn | Volumes, work: Any, cases: int) -> Ends:
    """Return what stands in the blocks after a march."""
    if isinstance(pot, PackedColumn):
        n = pot.cells
        ice = unpacked(work, shells.STATE + 8 * n * LANES, n, cases)
        return Ends(unpacked(work, shells.STATE, n, cases), ice)
    return _ends_of_volumes(work, pot, band_width(pot.n_r, pot.n_z), cases)


def _work_of_column(
    first: Any, film: Any, pot: PackedColumn, start: Any, gdt: Any, kind: Any
) -> Any:
    n, cases = start.shape
    given = pot.parameters
    top = head(
        first, film, given[5:11], given[:2], np.stack((start[-1], start[0])), kind
    )
    mine = np.zeros((shells.HEAD_ROWS, cases), kind)
    mine[0], mine[1], mine[2], mine[3] = given[3], given[4], given[4], given[2]
    # Without water nothing freezes: a latent heat it cannot pay out.
    mine[shells.LATENT // LANES - HEAD // LANES] = np.maximum(given[11], 1e-6)
    groups = np.zeros((shells.GROUPS * n, cases), kind)
    groups[:n] = start
    groups[5 * n : 6 * n], groups[6 * n : 7 * n] = gdt * pot.inward, gdt * pot.outward
    groups[7 * n : 8 * n] = np.asarray(pot.shares)[:, None]
    return packed(np.concatenate([top, mine, groups]))


def _work_of_volumes(
    first: Any, film: Any, pot: Volumes, start: Any, gdt: Any, kind: Any
) -> Any:
    n, cases = start.shape
    if pot.n_r < 2 or n != pot.n_r * pot.n_z:
        msg = f"{n} volumes for {pot.n_r} x {pot.n_z}; two or more of a layer"
        raise ValueError(msg)
    width = band_width(pot.n_r, pot.n_z)
    latent, thawed, loss, beside, above, stiffer = pot.records[:6]
    wall, wall_area, top, top_area, floor, share, ice = pot.records[6:]
    sums = np.stack((wall.sum(axis=0), top.sum(axis=0)))
    areas = np.stack((wall_area.sum(axis=0), top_area.sum(axis=0)))
    skin = np.stack((start[pot.n_r - 1], start[-1]))
    shared = head(first, film, pot.surfaces, sums / areas, skin, kind)
    mine = np.zeros((rings.HEAD_ROWS, cases), kind)
    mine[0:2], mine[2:4], mine[4:6] = sums, pot.surfaces[4:6], areas
    if pot.water is not None:
        mine[6:11] = pot.water
        shared[WETNESS // LANES :][:2] *= np.minimum(1.0, pot.water[0] / pot.water[1])
    record = np.zeros((n + 2 * width, rings.RECORD_ROWS + 2 * width, cases), kind)
    inside = record[width : width + n]
    # A volume without water never freezes: a latent heat it cannot pay out.
    per = 1.0 / gdt
    rows = {
        rings.T: start,
        rings.CAPACITY: (thawed - loss * ice) * per,
        rings.BESIDE: beside,
        rings.ABOVE: above,
        rings.ICE: ice,
        rings.LATENT: np.maximum(latent, 1e-6 * thawed) * per,
        rings.THAWED: thawed * per,
        rings.LOSS: loss * per,
        rings.BESIDE_THAWED: beside,
        rings.ABOVE_THAWED: above,
        rings.STIFFER: stiffer,
        rings.WALL: wall,
        rings.WALL_AREA: wall_area,
        # The wall's ring has no top: nothing over nothing must be nothing.
        rings.TOP: np.where(top_area > 0, top, 1e-12),
        rings.TOP_AREA: top_area,
        rings.FLOOR: floor,
        rings.SHARE: share,
    }
    for at, values in rows.items():
        inside[:, at // LANES] = values
    return packed(np.concatenate([shared, mine, record.reshape(-1, cases)]))


def _ends_of_volumes(work: Any, pot: Volumes, width: int, cases: int) -> Ends:
    size = rings.RECORD_ROWS + 2 * width
    n = pot.n_r * pot.n_z
    records = unpacked(
        work, rings.RECORDS + width * size * LANES, n * size, cases
    ).reshape(n, size, cases)
    water = None
    if pot.water is not None:
        first = unpacked(work, rings.HELD, 8, cases)
        water = first[[0, 5, 6, 7]]
    ice = records[:, rings.ICE // LANES]
    return Ends(records[:, rings.T // LANES], ice, water)
