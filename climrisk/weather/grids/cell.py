"""One cell of a grid as a record like any other."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.weather.grids.file import open_grid
from climrisk.weather.grids.read import read_cells
from climrisk.weather.grids.store import check_in_time
from climrisk.weather.series import Origin, Place, Source, WeatherSeries


def read_cell(
    path: Path,
    place: Place | None,
    *,
    measured_at: Literal["spot", "station"] | None = None,
) -> WeatherSeries:
    """Return the hours of the cell nearest to a place.

    Parameters
    ----------
    path : Path
        NetCDF or Zarr.
    place : Place, optional
        Its zone counts the nights; its height is not that of the cell.
    measured_at : {"spot", "station"}, optional
        A cell counts as a station's surroundings.

    Raises
    ------
    InputError
        No place, one outside the grid, or what `open_grid` and `read_cells` refuse.
    """
    import numpy as np

    if place is None:
        raise InputError(
            "a grid has many places",
            where=path.name,
            next_step=f"say which cell: {field('at', 'LAT,LON')}",
        )
    check_in_time(path)
    grid = open_grid([path])
    y, x = grid.nearest(place.latitude_deg, place.longitude_deg)
    values = read_cells(grid, 0, len(grid.time), (y, y + 1, x, x + 1))
    lat, lon = float(grid.latitude[y]), float(grid.east_deg[x])
    label = f"{grid.label}, cell {lat:g},{lon:g}"
    known = np.isfinite(values["air_temp_c"])
    return WeatherSeries.build(
        grid.time,
        values,
        place=Place(label, lat, lon, None, place.zone),
        source=Source("grid", label, "", measured_at or "station"),
        origin=np.where(known, Origin.MODELED, Origin.MISSING).astype(np.uint8),
        notes=grid.notes,
    )
