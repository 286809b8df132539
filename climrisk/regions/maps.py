"""Finished blocks become one file: NetCDF or Zarr, after the CF conventions."""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.atomic_files import (
    move_into_place,
    remove,
    remove_leftovers,
    temporary_beside,
)
from climrisk.core.errors import InputError
from climrisk.core.paths import is_file, is_folder
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.regions.checkpoint import no_room
from climrisk.regions.job import RegionJob
from climrisk.regions.unfailing_file import UnfailingFile
from climrisk.regions.units import OUTPUTS
from climrisk.weather.grids.store import needs_extra

if TYPE_CHECKING:
    import xarray as xr

Store = Literal["netcdf", "zarr"]
#: Endings of the name that choose the store.
_ENDINGS: dict[str, Store] = {
    ".nc": "netcdf",
    ".nc4": "netcdf",
    ".netcdf": "netcdf",
    ".zarr": "zarr",
}
_CHUNK = 256
#: Of maps that are held at once as they are written.
_HELD_BYTES = 50_000_000


def store_of(out: Path) -> Store:
    """Return the kind of store that a name asks for.

    Raises
    ------
    InputError
        Another ending, or a place that holds something else.
    """
    if out.suffix.lower() not in _ENDINGS:
        raise InputError(
            "cannot tell what to write",
            where=field("out"),
            value=out,
            allowed="a name that ends in " + " ".join(_ENDINGS),
        )
    kind = _ENDINGS[out.suffix.lower()]
    if not is_folder(out.parent):
        raise InputError("no such folder", where=field("out"), value=out.parent)
    marks = ("zarr.json", ".zgroup", ".zmetadata")
    alien = is_folder(out) and not any((out / mark).exists() for mark in marks)
    if alien or (is_file(out) if kind == "zarr" else is_folder(out)):
        raise InputError(
            "something else is there", where=field("out"), value=out,
            next_step="choose another name",
        )  # fmt: skip
    return kind


def empty_maps(job: RegionJob, said: dict[str, str]) -> xr.Dataset:
    """Return coordinates and provenance of the output, without maps.

    Parameters
    ----------
    job : RegionJob
    said : dict of str to str
        More global attributes.
    """
    import xarray as xr

    grid = job.grid()
    plants = job.plants
    tolerated = [p.tolerated_c for p in plants]
    data = xr.Dataset(
        coords={
            "plant": ("plant", [p.name for p in plants], {"long_name": "plant"}),
            "month": (
                "month",
                np.arange(1, 13, dtype=np.int8),
                {"long_name": "calendar month, 1 for January", "units": "1"},
            ),
            "latitude": ("latitude", grid.latitude, _axis("latitude", "north", "Y")),
            "longitude": ("longitude", grid.longitude, _axis("longitude", "east", "X")),
            "preferred_c": (
                "plant",
                [p.preferred_c for p in plants],
                {"units": "degC", "long_name": "recommended night minimum"},
            ),
            "tolerated_c": (
                "plant",
                tolerated,
                {
                    "units": "degC",
                    "long_name": "coldest night that the plant tolerates",
                },
            ),
        },
        attrs={
            "Conventions": "CF-1.11",
            "title": f"Night cold for {', '.join(p.label for p in plants)} in a pot, "
            f"{job.spot.at}",
            "source": f"climrisk {__version__} on gridded hourly weather",
            "climrisk_version": __version__,
            "history": f"{datetime.now(UTC):%Y-%m-%dT%H:%M:%SZ} climrisk region",
            "input": ", ".join(Path(p).name for p in job.paths),
            "time_coverage_start": f"{grid.time[0]}Z",
            "time_coverage_end": f"{grid.time[-1] + np.timedelta64(60, 'm')}Z",
            "spot": job.spot.name,
            "spot_at": job.spot.at,
            "pot": f"{job.pot.kind} {job.pot.diameter_cm:g} cm",
            "medium": job.pot.medium_name,
            "plant_state": job.state,
            "setup": job.setup,
            "risk": job.risk,
            "spring_risk": job.spring_risk,
            "local_time": "standard time of the longitude, 15 degrees an hour",
            **said,
        },
    )
    return data


def _axis(name: str, toward: str, letter: str) -> dict[str, str]:
    return {"standard_name": name, "units": f"degrees_{toward}", "axis": letter}


def write_maps(
    out: Path,
    frame: xr.Dataset,
    get: Callable[..., dict[str, NDArray[Any]]],
) -> None:
    """Write a file, some maps at a time, under another name until it is whole.

    Parameters
    ----------
    out : Path
    frame : xarray.Dataset
        From `empty_maps`.
    get : callable
        Returns the whole maps of names, each of shape (plant, month, y, x) or part of
        it.

    Raises
    ------
    InputError
        A disk that is full, or a place that cannot be written.
    """
    kind = store_of(out)
    out = out.resolve()
    temporary = temporary_beside(out)
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            for i, names in enumerate(_some_at_a_time(frame)):
                some = maps_in(get(*names), frame)
                if i == 0 or kind == "zarr":
                    # A Zarr store forgets what is a coordinate if it is not said again.
                    some = frame.assign(some.data_vars)
                _save(some, temporary, kind, first=i == 0)
        move_into_place(temporary, out)
        remove_leftovers(out.parent)
    except ImportError as error:
        raise needs_extra(error) from error
    except OSError as error:
        raise no_room(error, out) from error
    finally:
        remove(temporary)


def _some_at_a_time(frame: xr.Dataset) -> Iterator[list[str]]:
    """Deal out the names of the maps by what may be held of them at once."""
    names: list[str] = []
    held = 0
    for name, spec in OUTPUTS.items():
        dims = (*spec.dims, "latitude", "longitude")
        size = np.dtype(spec.dtype).itemsize * math.prod(frame.sizes[d] for d in dims)
        if names and held + size > _HELD_BYTES:
            yield names
            names, held = [], 0
        names.append(name)
        held += size
    yield names


def maps_in(maps: dict[str, NDArray[Any]], frame: xr.Dataset) -> xr.Dataset:
    """Return maps as a Dataset without coordinates."""
    import xarray as xr

    made = {
        name: ((*OUTPUTS[name].dims, "latitude", "longitude"), x, OUTPUTS[name].attrs)
        for name, x in maps.items()
    }
    return xr.Dataset(made, attrs=frame.attrs)


def _save(data: xr.Dataset, path: Path, kind: Store, *, first: bool) -> None:
    encoding: dict[str, Any] = {}
    for name, one in data.data_vars.items():
        size = tuple(
            min(n, _CHUNK) if d in ("latitude", "longitude") else n
            for d, n in one.sizes.items()
        )
        spec = OUTPUTS[str(name)]
        mine: dict[str, Any] = {"_FillValue": spec.dtype(spec.fill)}
        if kind == "zarr":
            mine |= {"chunks": size}
        else:
            mine |= {"chunksizes": size, "zlib": True, "complevel": 2}
        encoding[str(name)] = mine
    mode: Any = "w" if first else "a"
    if kind == "zarr":
        data.to_zarr(
            path, mode=mode, encoding=encoding, consolidated=False, zarr_format=2
        )
    else:
        with UnfailingFile(path) as file:
            try:
                data.to_netcdf(file, mode=mode, engine="h5netcdf", encoding=encoding)
            finally:
                if file.error is not None:
                    raise file.error


def open_maps(path: Path) -> xr.Dataset | None:
    """Return the maps of an earlier run, or None where a file is something else."""
    import xarray as xr

    from climrisk.weather.grids.store import opened

    raw = opened(str(path))
    if "climrisk_version" not in raw.attrs or "hours_below_preferred" not in raw:
        return None
    engine: Any = "zarr" if path.is_dir() else "h5netcdf"
    more: Any = {"consolidated": False} if path.is_dir() else {}
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # what is lacking is said by who needs it
        return xr.open_dataset(path, engine=engine, chunks=None, **more)
