"""Maps of an earlier run, read again: pictures and cells without computing anew."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from climrisk.commands.region.cell_summary import SPREAD_MAPS, cell, spread
from climrisk.commands.region.result import PickedCell, RegionResult
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.regions.job import JobPlant
from climrisk.regions.maps import open_maps
from climrisk.regions.units import OUTPUTS
from climrisk.render.document import Caution
from climrisk.weather.grids.axes import nearest_cell
from climrisk.weather.grids.store import damage_explained

if TYPE_CHECKING:
    import xarray as xr


def read_again(
    path: Path, plants: Sequence[str], places: Sequence[tuple[float, ...]]
) -> RegionResult | None:
    """Return the result of maps that were written before, or None for other files.

    Parameters
    ----------
    path : Path
    plants : sequence of str
        Only these; all of the maps where empty.
    places : sequence of (latitude, longitude)

    Raises
    ------
    InputError
        A plant that the maps do not hold, a place outside, maps of another version, or
        damaged ones.
    """
    with damage_explained(str(path), "these maps are damaged"):
        data = open_maps(path)
        if data is None:
            return None
        with data:
            _check_complete(data, path)
            return _result(data, path, plants, places)


def _check_complete(data: xr.Dataset, path: Path) -> None:
    """Refuse maps that lack something: of another version, or damaged."""
    needed = ("plant", "latitude", "longitude", "preferred_c", "tolerated_c", *OUTPUTS)
    lacking = [name for name in needed if name not in data.variables]
    if not lacking:
        return
    version = data.attrs["climrisk_version"]
    raise InputError(
        "these maps are damaged"
        if version == __version__
        else "maps of another version of climrisk",
        where=str(path),
        value=f"made by {version}, without {lacking[0]}",
        next_step="make them again from the hourly weather",
    )


def _result(
    data: xr.Dataset,
    path: Path,
    plants: Sequence[str],
    places: Sequence[tuple[float, ...]],
) -> RegionResult:
    job_plants = [
        JobPlant(str(n), str(n), float(p), float(t))
        for n, p, t in zip(
            data["plant"].values,
            data["preferred_c"].values,
            data["tolerated_c"].values,
            strict=True,
        )
    ]
    for name in plants:
        if name.lower() not in [a.name.lower() for a in job_plants]:
            raise InputError(
                "the maps do not hold this plant",
                where=f"{field('plant')}, {path.name}",
                value=name,
                allowed=", ".join(a.name for a in job_plants),
                next_step="make maps of it from the hourly weather",
            )
    said = data.attrs
    latitude = data["latitude"].values
    east = (data["longitude"].values + 180.0) % 360.0 - 180.0

    def get(name: str) -> NDArray[Any]:
        values = data[name].values
        spec = OUTPUTS[name]
        if spec.dtype is np.int8:
            return np.asarray(np.nan_to_num(values, nan=-1), np.int8)
        return np.asarray(values)

    at = []
    for place in places:
        y, x = nearest_cell(latitude, data["longitude"].values, place[0], place[1])
        alone = {name: get(name)[..., y, x] for name in OUTPUTS}
        center = (float(latitude[y]), float(east[x]))
        at.append(_only(cell(alone, job_plants, (place[0], place[1]), center), plants))
    maps = {name: get(name) for name in SPREAD_MAPS}
    wanted = [n.lower() for n in plants]
    first, last = said["time_coverage_start"], said["time_coverage_end"]
    hours = np.datetime64(last[:-1], "m") - np.datetime64(first[:-1], "m")
    caution = str(said.get("caution", ""))
    return RegionResult(
        command="region",
        version=__version__,
        input=str(said["input"]),
        out=str(path),
        first=first,
        last=last,
        hours=int(hours / np.timedelta64(60, "m")),
        latitudes=len(latitude),
        longitudes=len(east),
        cells=len(latitude) * len(east),
        cells_without_hours=int(np.isnan(get("known_hours")).sum()),
        blocks=0,
        blocks_kept=0,
        readings_of_each_value=0.0,
        seconds=0.0,
        spot=str(said["spot"]),
        spot_at=str(said["spot_at"]),
        pot=str(said["pot"]),
        medium=str(said["medium"]),
        setup=str(said["setup"]),
        state=str(said["plant_state"]),
        risk=float(said["risk"]),
        spring_risk=float(said["spring_risk"]),
        plants=[
            spread(maps, i, plant)
            for i, plant in enumerate(job_plants)
            if not wanted or plant.name.lower() in wanted
        ],
        at=at,
        assumed=[],
        notes=[f"maps made by {said['source']}: {said['history']}"],
        cautions=[Caution(topic="as the maps say", text=caution)] if caution else [],
        files=[],
    )


def _only(one: PickedCell, plants: Sequence[str]) -> PickedCell:
    wanted = [n.lower() for n in plants]
    if not wanted:
        return one
    chosen = [p for p in one.plants if p.plant.lower() in wanted]
    return one.model_copy(update={"plants": chosen})
