"""Compile what the tests run of the pot's loop, once and on all processors.

The loop is compiled for each type of number and each size of pot. Tests that meet a
size for the first time, in several processes at once, would each compile it.
"""

from __future__ import annotations

import sys
from typing import Any

from numba import types

from climrisk.pot.kernel.loop import _run

NONE, INT, BOOL = types.none, types.int64, types.boolean
SINGLE, DOUBLE = types.float32, types.float64
#: Shells and half-widths of the matrix of volumes, by the type of number.
SHELLS = [(SINGLE, 8), (DOUBLE, 8), (DOUBLE, 6)]
BANDS = [
    *((SINGLE, n) for n in (6, 7, 8)),
    *((DOUBLE, n) for n in (6, 7, 8, 9, 12, 16, 2, 3, 4)),
]


def array(kind: Any, dimensions: int) -> Any:
    """Return the type of an array as the loop is given it."""
    return types.Array(kind, dimensions, "C")


def signature(
    kind: Any, size: tuple[Any, Any], *, spot: bool = False
) -> tuple[Any, ...]:
    """Return the types of the loop's arguments; `spot` works the spot out as well."""
    grid, row = array(kind, 2), array(kind, 1)
    hours: tuple[Any, ...] = (array(kind, 3), *(NONE,) * 7)
    told: tuple[Any, ...] = (NONE, NONE)
    if spot:
        rows = types.UniTuple(grid, 8)
        steps = types.UniTuple(INT, 4)
        hours = (NONE, rows, steps, grid, array(INT, 1), row, grid, row)
        told = (grid, array(BOOL, 2))
    return (
        *(*hours, INT, grid, *size, INT, INT, grid, kind, kind, BOOL, BOOL),
        *(grid, grid, array(DOUBLE, 1), types.NumberClass(kind), *told),
    )


def signatures() -> list[tuple[Any, ...]]:
    """Return every variant, the costliest first."""
    shells = types.UniTuple(SINGLE, 8)
    return [
        signature(SINGLE, (shells, NONE), spot=True),
        *(signature(kind, (NONE, types.UniTuple(INT, n))) for kind, n in BANDS),
        *(signature(kind, (types.UniTuple(kind, n), NONE)) for kind, n in SHELLS),
    ]


def main(part: int, parts: int) -> None:
    """Compile one variant in so many."""
    for one in signatures()[part::parts]:
        _run.compile(one)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
