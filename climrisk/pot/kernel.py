"""The one loop over hours: heat balance of a pot by finite volumes.

The interior is L-stable (two-stage SDIRK, Alexander 1977, SIAM J. Numer. Anal.
14:1006, gamma = 1 - 1/sqrt(2)); wall and top balances are solved by Newton once an hour
and enter the matrix with their slope, so no step is too long for stability.

Two interiors share the surfaces and the loop: shells of one layer (`column`, quick) and
volumes in r and z with ice and water (`volumes`, whole).
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, NamedTuple
from zlib import crc32

import numpy as np

from climrisk import constants
from climrisk.pot import column as shells
from climrisk.pot import film, lanes, surfaces
from climrisk.pot import volumes as rings
from climrisk.pot.lanes import (
    AXIS,
    FORCINGS,
    GAMMA,
    LANES,
    LATER,
    MEAN,
    NOW,
    WETNESS,
    compiled,
    head,
    inlined,
    packed,
    u,
    unpacked,
)
from climrisk.pot.surfaces import balance

_AGAIN = (1.0 - GAMMA) / GAMMA
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
)


class Column(NamedTuple):
    """Shells of one layer; arrays of one floating type, cases last.

    Parameters
    ----------
    inward, outward : float array (shell, case)
        Conductance to the inner and outer neighbor over the shell's capacity. [1/s]
    parameters : float array (11, case)
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
    ice : float array (volume, case), optional
        Frozen share of the water.
    water : float array (4, case), optional
        Held, evaporated less dew, watered, and run off. [kg]
    """

    state: Any
    ice: Any = None
    water: Any = None


@inlined
def _hour_of_shells(w, column, parts, gdt, flat, gained, begin, count, kind):  # type: ignore[no-untyped-def]
    """March a block of columns through an hour."""
    state = shells.STATE
    middle = state + len(column) * LANES
    balance(w, 0, flat, False, kind)  # noqa: FBT003
    balance(w, 1, flat, False, kind)  # noqa: FBT003
    shells.edges(w, gdt)
    shells.factor(w, column, kind)
    for step in range(len(parts)):
        part, whole = parts[step, 0], parts[step, 1]
        shells.stage(w, column, state, middle, part, kind)
        if gained.size:
            shells.gain(w, column, middle, part, _AGAIN, gained, begin, count, kind)
        shells.stage(w, column, middle, state, whole, kind)
        if gained.size:
            shells.gain(w, column, state, whole, 1.0, gained, begin, count, kind)


@inlined
def _hour_of_rings(  # type: ignore[no-untyped-def]
    w, band, n_r, n_z, parts, gdt, flat, ice, watered, gained, begin, count, kind
):
    """March a block of pots in r and z through an hour."""
    n, width = n_r * n_z, len(band)
    size = (rings.RECORD_ROWS + 2 * width) * LANES
    at = rings.RECORDS + width * size
    balance(w, 0, flat, watered, kind)
    balance(w, 1, flat, watered, kind)
    frosty = ice and rings.near_freezing(w, n, at, size, kind)
    if frosty:
        rings.with_ice(w, n, width, at, size, kind)
    rings.edges(w, n_r, n_z, at, size)
    rings.factor(w, n, band, at, size, kind)
    for step in range(len(parts)):
        part, whole = parts[step, 0], parts[step, 1]
        rings.stage(w, n, band, at, size, rings.T, rings.MIDDLE, part, kind)
        if gained.size:
            weight = _AGAIN * gdt
            rings.gain(w, n, at, size, rings.MIDDLE, part, weight, gained, begin, count)
        rings.stage(w, n, band, at, size, rings.MIDDLE, rings.T, whole, kind)
        if gained.size:
            rings.gain(w, n, at, size, rings.T, whole, gdt, gained, begin, count)
        if frosty:
            rings.freeze(w, n, at, size, kind)
    if watered:
        rings.drink(w, kind)


def _loop(stamp: int) -> Any:  # noqa: C901
    """Return the compiled loop.

    It is cached on disk beside this file and compiled anew when this file changes. The
    pieces that are put into it stand in other files: `stamp` tells theirs.
    """

    @compiled
    def _run(  # type: ignore[no-untyped-def]  # noqa: C901
        forcing,
        work,
        column,
        band,
        n_r,
        n_z,
        parts,
        gdt,
        flat,
        ice,
        watered,
        mean,
        axis,
        gained,
        kind,
    ):
        """March all blocks through all hours."""
        _ = stamp
        steps, cases = forcing.shape[1], forcing.shape[2]
        # Shells go hour by hour, so that the forcing is read once; a block of volumes
        # is too large to leave the cache each hour.
        tile = len(work) if column is not None else 1
        for group in range(0, len(work), tile):
            for t in range(steps):
                for block in range(group, min(len(work), group + tile)):
                    w, begin = work[block], block * LANES
                    count = min(LANES, cases - begin)
                    if column is not None:
                        shells.told(w, column, kind)
                    if band is not None:
                        size = (rings.RECORD_ROWS + 2 * len(band)) * LANES
                        at = rings.RECORDS + len(band) * size
                        rings.told(w, n_r, n_z, at, size, kind)
                    for c in range(u(count)):
                        mean[t, u(begin) + c] = w[u(MEAN) + c]
                    for c in range(u(count)):
                        axis[t, u(begin) + c] = w[u(AXIS) + c]
                    for k in range(u(FORCINGS * LANES)):
                        w[u(NOW) + k] = w[u(LATER) + k]
                    if t + 1 < steps:
                        for f in range(FORCINGS):
                            row = LATER + f * LANES
                            for c in range(u(count)):
                                w[u(row) + c] = forcing[f, t + 1, u(begin) + c]
                            for c in range(u(count), u(LANES)):
                                w[u(row) + c] = forcing[f, t + 1, cases - 1]
                    # numba drops the branch of what is None before it compiles.
                    if column is not None:
                        _hour_of_shells(
                            w, column, parts, gdt, flat, gained, begin, count, kind
                        )
                    if band is not None:
                        _hour_of_rings(
                            w,
                            band,
                            n_r,
                            n_z,
                            parts,
                            gdt,
                            flat,
                            ice,
                            watered,
                            gained,
                            begin,
                            count,
                            kind,
                        )

    return _run


_PIECES = (lanes, surfaces, shells, rings, film, constants)
_run = _loop(crc32(b"".join(Path(str(m.__file__)).read_bytes() for m in _PIECES)))


def march(
    forcing: Any,
    film: Any,
    pot: Column | Volumes,
    start: Any,
    substeps: int,
    psychrometric: float,
    mean_out: Any,
    axis_out: Any,
    gained: Any,
) -> Ends:
    """March pots through hours; all arrays of one floating type, cases last.

    Parameters
    ----------
    forcing : float array (8, time, case)
        Air [°C], vapor pressure [Pa], wind [m/s], longwave on wall and top, sunlight
        on wall and top [W/m2], floor [°C]; joined by straight lines between hours. No
        NaN: validity travels outside.
    film : float array (2, FILM_TERMS, case)
        Film coefficients of wall and top: polynomials in the root of the wind, the
        constant term first; good for winds of 0 to 12 m/s. [W/m2/K]
    pot : Column or Volumes
    start : float array (volume, case)
        Temperatures at the first hour. [°C]
    substeps : int
        Steps an hour.
    psychrometric : float
        Of a freely wet surface. [Pa/K]
    mean_out, axis_out : float array (time, case)
        Filled: volume mean of the medium, and axis (at middle height), at the start of
        each hour. [°C]
    gained : float64 array (case,) or (0,)
        Adds the heat gained through all surfaces: of a column over its capacity [K],
        of volumes [J]; not counted where empty.
    """
    kind = np.dtype(forcing.dtype).type
    step = np.arange(substeps)[:, None]
    parts = ((step + np.array([GAMMA, 1.0])) / substeps).astype(kind)
    gdt = kind(GAMMA * 3600.0 / substeps)
    shared = (parts, gdt, kind(1.0 / psychrometric))
    out = (mean_out, axis_out, gained, kind)
    if isinstance(pot, Column):
        work = _work_of_column(forcing, film, pot, start, gdt, kind)
        shares = tuple(kind(x) for x in pot.shares)
        _run(
            forcing, work, shares, None, len(shares), 1, *shared, *(False, False), *out
        )
        cases = forcing.shape[2]
        return Ends(unpacked(work, shells.STATE, len(shares), cases))
    work = _work_of_volumes(forcing, film, pot, start, gdt, kind)
    width = band_width(pot.n_r, pot.n_z)
    flags = (bool(pot.records[0].any()), pot.water is not None)
    band = tuple(range(width))
    _run(forcing, work, None, band, pot.n_r, pot.n_z, *shared, *flags, *out)
    return _ends_of_volumes(work, pot, width, forcing.shape[2])


def band_width(n_r: int, n_z: int) -> int:
    """Return the half-width of the matrix of volumes."""
    return n_r if n_z > 1 else 1


def _work_of_column(
    forcing: Any, film: Any, pot: Column, start: Any, gdt: Any, kind: Any
) -> Any:
    n, cases = start.shape
    given = pot.parameters
    top = head(
        forcing, film, given[5:11], given[:2], np.stack((start[-1], start[0])), kind
    )
    mine = np.zeros((10, cases), kind)
    mine[0], mine[1], mine[2], mine[3] = given[3], given[4], given[4], given[2]
    groups = np.zeros((shells.GROUPS * n, cases), kind)
    groups[:n] = start
    groups[5 * n : 6 * n], groups[6 * n : 7 * n] = gdt * pot.inward, gdt * pot.outward
    groups[7 * n :] = np.asarray(pot.shares)[:, None]
    return packed(np.concatenate([top, mine, groups]))


def _work_of_volumes(
    forcing: Any, film: Any, pot: Volumes, start: Any, gdt: Any, kind: Any
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
    first = head(forcing, film, pot.surfaces, sums / areas, skin, kind)
    mine = np.zeros((rings.HEAD_ROWS, cases), kind)
    mine[0:2], mine[2:4], mine[4:6] = sums, pot.surfaces[4:6], areas
    if pot.water is not None:
        mine[6:11] = pot.water
        first[WETNESS // LANES :][:2] *= np.minimum(1.0, pot.water[0] / pot.water[1])
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
    return packed(np.concatenate([first, mine, record.reshape(-1, cases)]))


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
