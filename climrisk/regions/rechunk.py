"""A copy of a grid cut by cells, for stores that are cut map by map."""

from __future__ import annotations

import shutil
import warnings
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np

from climrisk.core.atomic_files import sync_tree
from climrisk.regions.checkpoint import no_room
from climrisk.regions.job import RegionJob
from climrisk.weather.grids.file import FilePart, Grid
from climrisk.weather.grids.read import read_raw
from climrisk.weather.grids.store import needs_extra, opened

#: Bytes of one variable that are held while copying.
_SLAB_BYTES = 128_000_000
#: Bytes of a chunk of the copy: large enough for the disk, small enough for a block.
_CHUNK_BYTES = 800_000
#: Sides of chunks are a multiple of so many cells, so that blocks are of whole lanes.
_SIDE = 8
_DONE = "climrisk_copy_of"


def copies_of(job: RegionJob, out: Path) -> list[Path]:
    """Return where the copies of the inputs go."""
    return [out.with_name(f"{out.name}.copy-{i}.zarr") for i, _ in enumerate(job.paths)]


def rechunked(job: RegionJob, out: Path, say: Callable[[str], None]) -> RegionJob:
    """Return the job on a copy of its input beside the output, made where it is not.

    The stored numbers are copied as they are, so that the copy gives the same results
    to the bit. Memory stays within one stretch of time of one variable.

    Parameters
    ----------
    job : RegionJob
    out : Path
        The output; the copies stand beside it.
    say : callable
        Told what is copied.

    Raises
    ------
    InputError
        A part of the input that cannot be read, or a disk that is full.
    """
    grid = job.grid()
    copies = copies_of(job, out)
    for path, copy in zip(job.paths, copies, strict=True):
        if _is_done(copy, job.key()):
            say(f"{copy.name} is there from an earlier run")
            continue
        say(f"copying {Path(path).name} cut by cells to {copy.name}")
        try:
            _copy(grid, path, copy, job.key())
        except ImportError as error:
            raise needs_extra(error) from error
        except OSError as error:
            shutil.rmtree(copy, ignore_errors=True)
            raise no_room(error, copy) from error
    return replace(job, paths=tuple(str(c) for c in copies))


def remove_copies(job: RegionJob, out: Path) -> None:
    """Remove the copies of a job that is done."""
    for copy in copies_of(job, out):
        shutil.rmtree(copy, ignore_errors=True)


def _is_done(copy: Path, key: str) -> bool:
    import zarr

    try:
        return bool(zarr.open_group(copy, mode="r").attrs.get(_DONE) == key)
    except (OSError, ValueError, KeyError):
        return False


def _copy(grid: Grid, path: str, copy: Path, key: str) -> None:
    import zarr

    shutil.rmtree(copy, ignore_errors=True)
    raw = opened(path)
    parts = [
        (name, part)
        for name, variable in grid.variables.items()
        for part in variable.parts
        if part.path == path
    ]
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        axes = {d for _, p in parts for d, s in zip(p.dims, p.order, strict=True)
                if s != "-"}  # fmt: skip
        frame = raw.drop_vars([n for n in raw.variables if n not in axes])
        frame.to_zarr(copy, mode="w", consolidated=False, zarr_format=3)
    root = zarr.open_group(copy, mode="a")
    for name, part in parts:
        _copy_variable(grid, root, name, part)
    # After a power failure a copy that says it is done must be complete.
    sync_tree(copy)
    root.attrs[_DONE] = key
    opened.cache_clear()


def _copy_variable(grid: Grid, root: Any, name: str, part: FilePart) -> None:
    ny, nx = len(grid.latitude), len(grid.longitude)
    variable = opened(part.path).variables[part.name]
    size = variable.dtype.itemsize
    read_h = grid.variables[name].chunk[0]
    slab = max(1, _SLAB_BYTES // (ny * nx * size))
    slab = min(max(slab // read_h, 1) * read_h, part.count)
    side = max(1, int((_CHUNK_BYTES / (slab * size)) ** 0.5))
    if side > _SIDE:
        side -= side % _SIDE
    names = {s: d for d, s in zip(part.dims, part.order, strict=True)}
    attrs = {
        k: v.item() if isinstance(v, np.generic) else v
        for k, v in variable.attrs.items()
        if k != "_FillValue"
    }
    # Zarr keeps _FillValue coded; missing_value says the same in plain numbers.
    if part.fills:
        attrs["missing_value"] = [float(f) for f in part.fills]
    array = root.create_array(
        part.name,
        shape=(part.count, ny, nx),
        chunks=(slab, min(side, ny), min(side, nx)),
        dtype=variable.dtype,
        dimension_names=tuple(names[s] for s in ("t", "y", "x")),
        attributes=attrs,
    )
    for first in range(0, part.count, slab):
        stop = min(first + slab, part.count)
        values = read_raw(
            grid, part, part.first + first, part.first + stop, (0, ny, 0, nx)
        )
        array[first:stop] = values
