"""The types of arguments for which the compiled loop is compiled."""

from __future__ import annotations

from typing import Any

from numba import types

NONE, BOOL = types.none, types.boolean
INT, WORD, SHORT = types.int64, types.int32, types.int16
SINGLE, DOUBLE = types.float32, types.float64


def array(kind: Any, dimensions: int) -> Any:
    """Return the type of an array as the loop is given it."""
    return types.Array(kind, dimensions, "C")


def _several(kind: Any, count: int) -> Any:
    return types.UniTuple(kind, count)  # type: ignore[no-untyped-call]


def signature(
    kind: Any, size: tuple[Any, Any], *, spot: bool = False
) -> tuple[Any, ...]:
    """Return the types of the loop's arguments; `spot` works the spot out as well."""
    grid, row = array(kind, 2), array(kind, 1)
    hours: tuple[Any, ...] = (array(kind, 3), *(NONE,) * 7)
    extra: tuple[Any, ...] = (NONE, NONE)
    if spot:
        rows = _several(grid, 8)
        steps = _several(INT, 4)
        hours = (NONE, rows, steps, grid, array(INT, 1), row, grid, row)
        extra = (grid, array(BOOL, 2))
    return (
        *(*hours, INT, grid, *size, INT, INT, grid, kind, kind, BOOL, BOOL),
        *(grid, grid, array(DOUBLE, 1), types.NumberClass(kind), *extra),
    )


def shells(kind: Any, count: int, *, spot: bool = False) -> tuple[Any, ...]:
    """Return the types of a pot of shells in one layer."""
    return signature(kind, (_several(kind, count), NONE), spot=spot)


def rings(kind: Any, half_width: int) -> tuple[Any, ...]:
    """Return the types of a pot of rings and layers."""
    return signature(kind, (NONE, _several(INT, half_width)))
