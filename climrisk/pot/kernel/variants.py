"""The types of arguments for which the compiled loops are compiled."""

from __future__ import annotations

from typing import Any

from climrisk.core.compiled import array_form

SINGLE, DOUBLE = "float32", "float64"


def form(dtype: str, size: tuple[Any, Any], *, spot: bool = False) -> tuple[Any, ...]:
    """Return the types of the loop's arguments; `spot` works the spot out as well."""
    grid, row, whole = array_form(dtype, 2), array_form(dtype, 1), "int64"
    hours: tuple[Any, ...] = (array_form(dtype, 3), *("none",) * 7)
    extra: tuple[Any, ...] = ("none", "none")
    if spot:
        hours = ("none", (grid,) * 8, (whole,) * 4, grid)
        hours = (*hours, array_form("int64", 1), row, grid, row)
        extra = (grid, array_form("bool", 2))
    return (
        *(*hours, whole, grid, *size, whole, whole, grid, dtype, dtype, "bool", "bool"),
        *(grid, grid, array_form("float64", 1), f"class {dtype}", *extra),
    )


def shells(dtype: str, count: int, *, spot: bool = False) -> tuple[Any, ...]:
    """Return the types of a pot of shells in one layer."""
    return form(dtype, ((dtype,) * count, "none"), spot=spot)


def laid_out(dtype: str) -> tuple[Any, ...]:
    """Return the types of `climrisk.pot.forcing.lay_out`."""
    row, ends = array_form(dtype, 2), array_form("int64", 2)
    return (*(row,) * 8, ends, "int64", array_form(dtype, 3), f"class {dtype}")


def rings(dtype: str, half_width: int) -> tuple[Any, ...]:
    """Return the types of a pot of rings and layers."""
    return form(dtype, ("none", ("int64",) * half_width))
