"""How the kernel lays out its numbers: blocks of lanes, one flat array a block.

Cases are marched in blocks of a fixed number of lanes, and all that a block needs
stands in one flat array, a row of lanes for each number. With rows at fixed distances
in one array the compiler sees that nothing overlaps, and turns each loop over lanes
into vector code without a test; it gives up where many arrays might overlap. Rows are
counted in numbers, so that ``w[u(ROW) + c]`` is lane c of a row; the index is unsigned,
since a signed one is tested against zero in every lane.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from climrisk.pot.film import FILM_TERMS

#: Cases of a block: four vectors of single precision on the widest machines.
LANES = 64
LAST_LANE = np.uint64(LANES)
_LINE_BYTES = 64
FORCINGS = 8
GAMMA = 1.0 - 1.0 / np.sqrt(2.0)
#: Water in a pot holds some salt: it freezes a little below zero (-0.1 to -0.5 with
#: nutrients, -0.05 plain; estimate).
FREEZING_C = -0.1

u = np.uint64

# Rows of every block, in numbers. Pairs are wall, then top.
NOW, LATER = 0, FORCINGS * LANES
ABSORPTANCE, EMISSIVITY, WETNESS, INNER = (
    (2 * FORCINGS + 2 * k) * LANES for k in range(4)
)
FILM = (2 * FORCINGS + 8) * LANES
SKIN = FILM + 2 * FILM_TERMS * LANES  # surface temperatures
BEHIND = SKIN + 2 * LANES  # temperatures behind the surfaces
#: What a surface takes at both ends of the hour, and the slope of that.
FIRST, FINAL, SLOPE = (BEHIND + 2 * k * LANES for k in (1, 2, 3))
VAPOR = BEHIND + 8 * LANES  # latent heat that leaves the surfaces
MEAN, AXIS = VAPOR + 2 * LANES, VAPOR + 3 * LANES
#: One over what a surface yields to heat from behind it less its slope, and the root of
#: the wind.
YIELD, ROOT = VAPOR + 4 * LANES, VAPOR + 6 * LANES
#: Where the climate of a spot is worked out inside the loop (`spot_hour`).
SPOT = VAPOR + 7 * LANES
SPOT_ROWS = 60
HEAD = SPOT + SPOT_ROWS * LANES


def packed(rows: Any) -> Any:
    """Return rows (row, case) as blocks (block, row * LANES); the last case repeats."""
    count, cases = rows.shape
    blocks = -(-cases // LANES)
    wide = np.concatenate(
        [rows, np.repeat(rows[:, -1:], blocks * LANES - cases, axis=1)], axis=1
    )
    tall = wide.reshape(count, blocks, LANES).transpose(1, 0, 2)
    out = _at_line(count * blocks * LANES, rows.dtype)
    out[:] = tall.reshape(-1)
    return out.reshape(blocks, count * LANES)


def _at_line(size: int, dtype: Any) -> Any:
    """Return an empty array that begins where a line of the cache does.

    Wide vectors that lie across two lines are fetched twice.
    """
    room = np.empty(size * dtype.itemsize + _LINE_BYTES, np.uint8)
    first = -room.ctypes.data % _LINE_BYTES
    return room[first : first + size * dtype.itemsize].view(dtype)


def unpacked(blocks: Any, first: int, count: int, cases: int) -> Any:
    """Return rows (row, case) from blocks, `count` of them from the number `first`."""
    part = blocks[:, first : first + count * LANES].reshape(len(blocks), count, LANES)
    return part.transpose(1, 0, 2).reshape(count, -1)[:, :cases]


def head(first: Any, film: Any, surfaces: Any, inner: Any, skin: Any, kind: Any) -> Any:
    """Return the rows of every block, shape (HEAD / LANES, case).

    Parameters
    ----------
    first : float array (8, case)
        Forcing at the first hour.
    film : float array (2, FILM_TERMS, case)
    surfaces : float array (6, case)
        Absorptance, emissivity and wetness, each of wall and top.
    inner : float array (2, case)
        Conductance from behind the surfaces. [W/m2/K]
    skin : float array (2, case)
        First guess of the surface temperatures. [°C]
    """
    cases = first.shape[1]
    rows = np.zeros((HEAD // LANES, cases), kind)
    rows[LATER // LANES :][:FORCINGS] = first
    rows[ABSORPTANCE // LANES :][:6] = surfaces
    rows[INNER // LANES :][:2] = inner
    rows[FILM // LANES :][: 2 * FILM_TERMS] = film.reshape(2 * FILM_TERMS, cases)
    rows[SKIN // LANES :][:2] = skin
    return rows
