"""Gridded records in NetCDF or Zarr: what is in them, without reading the values."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.errors import InputError
from climrisk.core.paths import is_folder
from climrisk.core.references import field
from climrisk.weather.grids.axes import (
    LATITUDES,
    LONGITUDES,
    TIMES,
    axis_of,
    degrees_of,
    nearest_cell,
)
from climrisk.weather.grids.names import (
    KNOWN,
    Sum,
    find_names,
    is_energy,
    named_variables,
    unit_of,
)
from climrisk.weather.grids.store import damage_explained, opened
from climrisk.weather.grids.sums import ends_at_stamp, fill_values, sum_kind
from climrisk.weather.grids.times import FileTimes, check_hours, times_of
from climrisk.weather.grids.zarr_chunks import ZarrChunks, zarr_chunks

if TYPE_CHECKING:
    import xarray as xr

Stamps = NDArray[np.datetime64]


@dataclass(frozen=True)
class FilePart:
    """A stretch of a variable in one file.

    Parameters
    ----------
    path, name : str
        The file, and the variable's name in it.
    first, count : int
        Its first hour within the record, and its hours.
    order : tuple of str
        Its dimensions as ``t``, ``y``, ``x``; others have one entry.
    fills : tuple of float
        Raw values that mean missing.
    scale, offset : float
        From raw values to our unit.
    dims : tuple of str
        The file's names of its dimensions.
    chunks : ZarrChunks, optional
        How its numbers lie in the store, where it is a plain array of Zarr.
    """

    path: str
    name: str
    first: int
    count: int
    order: tuple[str, ...]
    dims: tuple[str, ...]
    fills: tuple[float, ...]
    scale: float
    offset: float
    chunks: ZarrChunks | None = None


@dataclass(frozen=True)
class GridVariable:
    """A variable over the whole record.

    Parameters
    ----------
    parts : tuple of FilePart
        In order of time.
    sums : {"", "hour", "day"}
        Whether values are means of the hour that begins at their stamp, or stand for
        the hour that ends there, or run up since midnight UTC.
    chunk : tuple of int
        Of the store, along time, y and x.
    itemsize : int
        Bytes of a stored value.
    """

    parts: tuple[FilePart, ...]
    sums: Sum
    chunk: tuple[int, int, int]
    itemsize: int


@dataclass(frozen=True)
class Grid:
    """A gridded record; its values are read later, in parts.

    Parameters
    ----------
    label : str
        The file's name.
    paths : tuple of str
    time : ndarray of datetime64[m], shape (time,)
        UTC start of each hour.
    latitude, longitude : ndarray of float, shape (y,) and (x,)
        As stored.
    variables : dict of str to GridVariable
        By the names of `climrisk.weather.grids.names.KNOWN`.
    found : tuple of str
        All variables of the files, for messages.
    notes : tuple of str
        What was taken for granted.
    """

    label: str
    paths: tuple[str, ...]
    time: Stamps
    latitude: Float
    longitude: Float
    variables: dict[str, GridVariable]
    found: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def cells(self) -> int:
        """Number of cells."""
        return len(self.latitude) * len(self.longitude)

    @property
    def east_deg(self) -> Float:
        """Longitudes from -180 to 180, shape (x,)."""
        return (self.longitude + 180.0) % 360.0 - 180.0

    def nearest(self, latitude_deg: float, longitude_deg: float) -> tuple[int, int]:
        """Return the cell whose center is nearest, as (y, x).

        Raises
        ------
        InputError
            A place further from every center than one cell.
        """
        return nearest_cell(self.latitude, self.longitude, latitude_deg, longitude_deg)


def open_grid(paths: Sequence[Path], *, variables: tuple[str, ...] = ()) -> Grid:
    """Return what is in gridded files.

    Parameters
    ----------
    paths : sequence of Path
        NetCDF files or Zarr stores. Several are joined in time, or hold different
        variables of the same hours.
    variables : tuple of str
        ``OURS=NAME`` where a name is not known.

    Raises
    ------
    InputError
        In one line, what is wrong with which file.
    """
    if not paths:
        raise InputError("no input", where="INPUT", next_step="name a NetCDF or Zarr")
    names = named_variables(variables)
    files = []
    for path in paths:
        with damage_explained(str(path)):
            files.append(_File.of(path, names))
    first = files[0]
    for other in files[1:]:
        first.check_alike(other)
    found = tuple(dict.fromkeys(n for f in files for n in f.found))
    label = (
        first.label if len(files) == 1 else f"{first.label} and {len(files) - 1} more"
    )
    for ours, name in names.items():
        if not any(ours in f.names for f in files):
            raise InputError(
                "no such variable",
                where=field("variable"),
                value=f"{ours}={name}",
                allowed=" ".join(found) or "the files hold none",
            )
    _check_enough({ours for f in files for ours in f.names}, found, label)
    time = _joined([f for f in files if "air_temp_c" in f.names], "air_temp_c")
    rows: dict[str, list[_File]] = {}
    for file in files:
        for ours in file.names:
            rows.setdefault(ours, []).append(file)
    notes = list(dict.fromkeys(n for f in files for n in f.times.notes))
    with damage_explained(label):
        made = {ours: _variable(ours, of, time, notes) for ours, of in rows.items()}
    return Grid(
        label,
        tuple(str(p) for p in paths),
        time,
        first.latitude,
        first.longitude,
        made,
        found,
        tuple(notes),
    )


def _check_enough(known: set[str], found: tuple[str, ...], label: str) -> None:
    if "air_temp_c" not in known:
        raise InputError(
            "no air temperature",
            where=label,
            value="found " + (" ".join(found) or "no variables"),
            allowed="standard_name air_temperature, or names such as "
            + " ".join(KNOWN["air_temp_c"].usual[:3]),
            next_step=f"say which it is: {field('variable', 'air_temp_c=NAME')}",
        )


@dataclass(frozen=True)
class _File:
    """One opened file with its axes."""

    path: str
    label: str
    names: dict[str, str]
    found: tuple[str, ...]
    times: FileTimes
    axes: dict[str, str]
    latitude: Float
    longitude: Float
    calendar: str

    @classmethod
    def of(cls, path: Path, names: dict[str, str]) -> _File:
        data = opened(str(path))
        label = path.name
        axes = {
            "y": axis_of(data, LATITUDES, "latitude", label),
            "x": axis_of(data, LONGITUDES, "longitude", label),
            "t": axis_of(data, TIMES, "time", label),
        }
        found = {
            str(n): v.attrs
            for n, v in data.data_vars.items()
            if axes["t"] in v.dims and len(v.dims) >= 3
        }
        time = times_of(data, axes["t"], where=label)
        return cls(
            str(path),
            label,
            find_names(found, names, where=label),
            tuple(found),
            time,
            axes,
            degrees_of(data, axes["y"], label, 90.0),
            degrees_of(data, axes["x"], label, 360.0),
            str(data[axes["t"]].attrs.get("calendar", "standard")),
        )

    def check_alike(self, other: _File) -> None:
        """Raise InputError where another file is of another grid or calendar."""
        usual = ("standard", "gregorian")
        if self.calendar != other.calendar and not (
            self.calendar in usual and other.calendar in usual
        ):
            raise InputError(
                "files of different calendars",
                where=f"{self.label}, {other.label}",
                value=f"{self.calendar} and {other.calendar}",
                next_step="bring all files to one calendar",
            )
        for name in ("latitude", "longitude"):
            if not np.array_equal(getattr(self, name), getattr(other, name)):
                raise InputError(
                    f"files with different {name}s",
                    where=f"{self.label}, {other.label}",
                    next_step="give files of one grid",
                )


def _variable(
    ours: str, files: list[_File], time: Stamps, notes: list[str]
) -> GridVariable:
    files = sorted(files, key=lambda f: f.times.time[0])
    if len(files) > 1:
        _joined(files, ours)
    parts, chunk, size = [], (1, 1, 1), 1
    sums: Sum = ""
    for file in files:
        data = opened(file.path)
        raw = data[file.names[ours]]
        order = _order(raw, file)
        where = f"{file.label}, {file.names[ours]}"
        unit = raw.attrs.get("units")
        factor, added = unit_of(ours, unit, where=where)
        scale = float(raw.attrs.get("scale_factor", 1.0))
        offset = float(raw.attrs.get("add_offset", 0.0))
        first = int((file.times.time[0] - time[0]) // np.timedelta64(60, "m"))
        parts.append(
            FilePart(
                file.path,
                file.names[ours],
                first,
                len(file.times.time),
                order,
                tuple(str(d) for d in raw.dims),
                fill_values(raw.attrs),
                scale * factor,
                offset * factor + added,
                _chunks(file, file.names[ours], order),
            )
        )
        chunk = _chunk(raw, order)
        size = raw.dtype.itemsize
        if ours == "ghi_w_m2" and is_energy(unit):
            sums = sum_kind(raw, order, file.times.time)
        elif ours == "ghi_w_m2" and ends_at_stamp(data, raw, file.axes["t"]):
            sums = "hour"
    if sums == "day":
        notes.append(
            f"{files[0].names[ours]} runs up from midnight UTC: hours are differences"
        )
    elif sums == "hour":
        notes.append(f"{files[0].names[ours]} is of the hour that ends at its time")
    return GridVariable(tuple(parts), sums, chunk, size)


def _chunks(file: _File, name: str, order: tuple[str, ...]) -> ZarrChunks | None:
    """Return how an array of time, y and x lies in a Zarr store."""
    if order != ("t", "y", "x") or not is_folder(Path(file.path)):
        return None
    return zarr_chunks(file.path, name)


def _order(raw: xr.DataArray, file: _File) -> tuple[str, ...]:
    """Return dimensions as t, y, x, and ``-`` for those of one entry."""
    back = {name: short for short, name in file.axes.items()}
    order = []
    for dim, count in raw.sizes.items():
        short = back.get(str(dim), "-")
        if short == "-" and count != 1:
            raise InputError(
                "a dimension that is neither time nor place",
                where=f"{file.label}, {raw.name}",
                value=f"{dim} of {count}",
                next_step="choose one entry of it first",
            )
        order.append(short)
    if sorted(s for s in order if s != "-") != ["t", "x", "y"]:
        raise InputError(
            "a variable without time, latitude and longitude",
            where=f"{file.label}, {raw.name}",
            value=" ".join(str(d) for d in raw.dims),
        )
    return tuple(order)


def _chunk(raw: xr.DataArray, order: tuple[str, ...]) -> tuple[int, int, int]:
    """Return the chunk along t, y, x; a store in one piece is cut by rows of a map."""
    chunks = raw.encoding.get("chunks") or raw.encoding.get("chunksizes")
    if not chunks:
        one = {"t": 1, "y": 1, "x": raw.shape[order.index("x")]}
        return one["t"], one["y"], one["x"]
    size = dict(zip(order, chunks, strict=True))
    return int(size["t"]), int(size["y"]), int(size["x"])


def _joined(files: list[_File], ours: str) -> Stamps:
    """Return the hours of files one after the other."""
    files = sorted(files, key=lambda f: f.times.time[0])
    time = np.concatenate([f.times.time for f in files])
    for one, other in pairwise(files):
        if other.times.time[0] <= one.times.time[-1]:
            raise InputError(
                "files that hold the same hours",
                where=f"{one.label}, {other.label}, {ours}",
                value=f"{other.times.time[0]} to {one.times.time[-1]}",
                next_step="give each hour once",
            )
    if len(files) > 1:
        check_hours(time, where=", ".join(f.label for f in files) + f", {ours}")
    return time
