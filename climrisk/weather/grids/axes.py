"""The axes of a grid: where they are, and which cell is nearest to a place."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.errors import InputError
from climrisk.core.references import field

if TYPE_CHECKING:
    import xarray as xr


LATITUDES = ("latitude", "lat", "y", "nav_lat")
LONGITUDES = ("longitude", "lon", "long", "x", "nav_lon")
TIMES = ("time", "valid_time", "t", "datetime")


def nearest_cell(
    latitudes: Float, longitudes: Float, latitude_deg: float, longitude_deg: float
) -> tuple[int, int]:
    """Return the cell of two axes whose center is nearest; see `Grid.nearest`."""
    y = int(np.argmin(np.abs(latitudes - latitude_deg)))
    away = np.abs((longitudes - longitude_deg + 180.0) % 360.0 - 180.0)
    x = int(np.argmin(away))
    for axis, distance in (
        (latitudes, abs(float(latitudes[y]) - latitude_deg)),
        (longitudes, float(away[x])),
    ):
        step = float(np.median(np.abs(np.diff(axis)))) if len(axis) > 1 else 1.0
        if distance > step:
            raise InputError(
                "a place outside the grid",
                where=field("at"),
                value=f"{latitude_deg:g},{longitude_deg:g}",
                allowed=f"latitude {latitudes.min():g} to {latitudes.max():g}, "
                f"longitude {longitudes.min():g} to {longitudes.max():g}",
            )
    return y, x


def axis_of(data: xr.Dataset, names: tuple[str, ...], what: str, label: str) -> str:
    """Return the name of an axis, by its usual names or its standard name.

    Raises
    ------
    InputError
        None, or one of two dimensions.
    """
    for name in (*data.dims, *data.variables):
        known = data.variables.get(name)
        standard = known.attrs.get("standard_name") if known is not None else None
        if (
            known is not None
            and known.dims == (name,)
            and (str(name).lower() in names or standard == what)
        ):
            return str(name)
    twisted = [n for n, v in data.variables.items()
               if str(n).lower() in names and v.ndim == 2]  # fmt: skip
    raise InputError(
        f"no {what} axis",
        where=label,
        value=f"{twisted[0]} has two dimensions" if twisted else
        "found " + " ".join(str(n) for n in data.variables),
        allowed=f"a regular grid with one-dimensional {what}",
        next_step="bring the record to a regular grid" if twisted else "",
    )  # fmt: skip


def degrees_of(data: xr.Dataset, name: str, label: str, most: float) -> Float:
    """Return an axis in degrees, rising or falling throughout."""
    values = np.asarray(data[name].values, float)
    bad = ~np.isfinite(values) | (np.abs(values) > most)
    steps = np.diff(values)
    if most > 180:  # longitudes may pass from 359 to 0
        steps = (steps + 180.0) % 360.0 - 180.0
    if bad.any() or (len(steps) > 0 and not ((steps > 0).all() or (steps < 0).all())):
        raise InputError(
            "an axis that is not one of degrees in order",
            where=f"{label}, {name}",
            value=f"{values[np.flatnonzero(bad)[0]]:g}"
            if bad.any()
            else "not in order",
            allowed=f"-{most:g} to {most:g}, rising or falling",
        )
    return values
