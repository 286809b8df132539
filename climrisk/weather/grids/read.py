"""Values of a grid: a stretch of time of some cells, in our units."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.constants import EPSILON_WATER_AIR
from climrisk.core.errors import InputError
from climrisk.core.variables import VARIABLES
from climrisk.physics import humidity
from climrisk.weather.grids.file import FilePart, Grid
from climrisk.weather.grids.store import opened
from climrisk.weather.grids.zarr_chunks import Room

#: A rectangle of cells: first and stop of y, first and stop of x.
Box = tuple[int, int, int, int]

#: Some of the cells of a rectangle, counted y by y.
Cells = slice | NDArray[np.int64]
#: A part of a store, the first of its hours that are held, and numbers (time, cell).
Piece = tuple[FilePart, int, NDArray[Any]]
_ALL = slice(None)

#: Packing and sums leave values a little beyond what can be; these are put right.
_SLACK = {"ghi_w_m2": 5.0, "cloud_cover_frac": 0.02, "rel_humidity_pct": 0.0}


def read_cells(grid: Grid, first: int, stop: int, box: Box) -> dict[str, Float]:
    """Return hourly values of a rectangle of cells.

    Parameters
    ----------
    grid : Grid
    first, stop : int
        Hours of the record.
    box : tuple of int
        First and stop of y, first and stop of x; cells are laid out y by y.

    Returns
    -------
    dict of str to ndarray of float32, shape (time, cell)
        By names of `climrisk.core.variables.VARIABLES`; NaN is missing. A variable
        that the record lacks is absent.

    Raises
    ------
    InputError
        A part of the store that cannot be read, or a value no weather can have.
    """
    return Held(grid, first, stop, box).values(first, stop)


class Held:
    """Numbers of a rectangle of cells as they are stored, held for some hours.

    They are turned into our units a few hours and cells at a time, which then stay in
    the processor's cache for what is done with them.

    Parameters
    ----------
    grid : Grid
    first, stop : int
        Hours of the record.
    box : tuple of int
    room : Room, optional
        Where the numbers live, until the next are read into it.

    Raises
    ------
    InputError
        A part of the store that cannot be read.
    """

    def __init__(
        self, grid: Grid, first: int, stop: int, box: Box, room: Room | None = None
    ) -> None:
        self.grid, self.box = grid, box
        room = room or Room()
        self.cells = (box[1] - box[0]) * (box[3] - box[2])
        self._pieces: dict[str, list[Piece]] = {}
        for name, variable in grid.variables.items():
            # What a sum tells of an hour stands one hour later.
            further = 1 if variable.sums else 0
            self._pieces[name] = pieces = []
            for part in variable.parts:
                begin = max(first, part.first)
                end = min(stop + further, part.first + part.count)
                if begin < end:
                    raw = read_raw(grid, part, begin, end, box, room)
                    pieces.append((part, begin, raw.reshape(end - begin, -1)))

    def values(self, first: int, stop: int, cells: Cells = _ALL) -> dict[str, Float]:
        """Return hourly values in our units, as `read_cells`.

        Parameters
        ----------
        first, stop : int
            Hours of the record, of those that are held.
        cells : slice or ndarray of int, optional
            Which of the cells.

        Raises
        ------
        InputError
            A value no weather can have.
        """

        def get(name: str) -> Float | None:
            variable = self.grid.variables.get(name)
            if variable is None:
                return None
            return self._hours(variable.sums, name, first, stop, cells)

        known = derived(get)
        return {n: self._settled(n, x, first, cells) for n, x in known.items()}

    def _hours(
        self, sums: str, name: str, first: int, stop: int, cells: Cells
    ) -> Float:
        """Return means of hours, from what the numbers stand for."""
        if sums != "day":
            late = 1 if sums == "hour" else 0
            return self._raw(name, first + late, stop + late, cells)
        values = self._raw(name, first, stop + 1, cells)
        out = values[1:].copy()
        # At midnight the sum is that of the day before: the next hour begins anew.
        hour = self.grid.time[first:stop].astype("datetime64[h]").astype(np.int64) % 24
        begun = hour != 0
        out[begun] -= values[:-1][begun]
        return out

    def _raw(self, name: str, first: int, stop: int, cells: Cells) -> Float:
        """Return the stored numbers in our unit; NaN outside what the files hold."""
        wide = len(np.arange(self.cells)[cells])
        pieces = []
        at = first
        for part, start, raw in self._pieces[name]:
            begin, end = max(first, start), min(stop, start + len(raw))
            if begin >= end:
                continue
            if begin > at:
                pieces.append(np.full((begin - at, wide), np.nan, np.float32))
            pieces.append(_decoded(raw[begin - start : end - start, cells], part))
            at = end
        if at < stop:
            pieces.append(np.full((stop - at, wide), np.nan, np.float32))
        return pieces[0] if len(pieces) == 1 else np.concatenate(pieces)

    def _settled(self, name: str, values: Float, first: int, cells: Cells) -> Float:
        """Return values put right, or raise on the first that cannot be."""
        variable = VARIABLES[name]
        if _within(values, np.float32(variable.lowest), np.float32(variable.highest)):
            return values
        values = _pressed(values, name)
        with np.errstate(invalid="ignore"):
            bad = (values < variable.lowest) | (values > variable.highest)
        if not bad.any():
            return values
        hour, column = (int(i[0]) for i in np.nonzero(bad))
        grid, box = self.grid, self.box
        y, x = divmod(int(np.arange(self.cells)[cells][column]), box[3] - box[2])
        where = (
            f"{grid.label}, {grid.time[first + hour]}, latitude "
            f"{grid.latitude[box[0] + y]:g}, longitude {grid.longitude[box[2] + x]:g}"
        )
        one = values[hour : hour + 1, column : column + 1]
        return validation.hourly_values(name, one, where=where)


def derived(get: Callable[[str], Float | None]) -> dict[str, Float]:
    """Return the variables a spot needs, from those that there are.

    Parameters
    ----------
    get : callable
        Returns a variable of `climrisk.weather.grids.names.KNOWN` in our unit, or None.
    """
    air = get("air_temp_c")
    assert air is not None  # the door refuses grids without it
    out: dict[str, Float | None] = {
        "air_temp_c": air,
        "dew_point_c": get("dew_point_c"),
        "wind_speed_m_s": _wind(get),
        "cloud_cover_frac": get("cloud_cover_frac"),
        "ghi_w_m2": get("ghi_w_m2"),
    }
    if out["dew_point_c"] is None:
        out["dew_point_c"] = _dew(get, air)
    return {name: values for name, values in out.items() if values is not None}


def checked_values(where: str, values: dict[str, Float]) -> dict[str, Float]:
    """Put right what lies a little outside; raise on what no weather can be."""
    return {
        name: validation.hourly_values(name, _pressed(column, name), where=where)
        for name, column in values.items()
    }


def _wind(get: Callable[[str], Float | None]) -> Float | None:
    speed = get("wind_speed_m_s")
    if speed is not None:
        return speed
    east, north = get("wind_east"), get("wind_north")
    if east is None or north is None:
        return None
    return np.hypot(east, north)


def _dew(get: Callable[[str], Float | None], air: Float) -> Float | None:
    relative = get("rel_humidity_pct")
    if relative is not None:
        with np.errstate(invalid="ignore"):
            out: Float = humidity.dew_point_from_humidity_c(air, relative)
        return out.astype(np.float32)
    share, pressure = get("specific_humidity"), get("surface_pressure")
    if share is None or pressure is None:
        return None
    # From the definition of specific humidity: q = eps e / (p - (1 - eps) e).
    vapor = share * pressure / (EPSILON_WATER_AIR + (1 - EPSILON_WATER_AIR) * share)
    return np.asarray(humidity.dew_point_c(vapor), np.float32)


def read_raw(
    grid: Grid, part: FilePart, begin: int, end: int, box: Box, room: Room | None = None
) -> NDArray[Any]:
    """Return numbers as they are stored, shape (time, y, x).

    Parameters
    ----------
    grid : Grid
    part : FilePart
        Of one of its variables.
    begin, end : int
        Hours of the record.
    box : tuple of int
    room : Room, optional
        Where the numbers may live.

    Raises
    ------
    InputError
        A part of the store that cannot be read.
    """
    cut: dict[str, Any] = {
        "t": slice(begin - part.first, end - part.first),
        "y": slice(box[0], box[1]),
        "x": slice(box[2], box[3]),
        "-": 0,
    }
    pick = tuple(cut[short] for short in part.order)
    try:
        if part.chunks is not None:
            return part.chunks.read(pick, room or Room())
        raw = np.asarray(opened(part.path).variables[part.name][pick].values)
    except Exception as error:
        first, last = grid.time[begin], grid.time[end - 1]
        south, north = sorted(grid.latitude[[box[0], box[1] - 1]])
        west, east = sorted(grid.longitude[[box[2], box[3] - 1]])
        raise InputError(
            "a part of the store cannot be read",
            where=f"{part.path}, {part.name}",
            value=f"{first} to {last}, latitude {south:g} to {north:g}, longitude "
            f"{west:g} to {east:g} ({type(error).__name__}: {error})",
            next_step="get that part of the input again; finished blocks are reused",
        ) from error
    order = [short for short in part.order if short != "-"]
    return raw.transpose([order.index(short) for short in ("t", "y", "x")])


def _decoded(raw: NDArray[Any], part: FilePart) -> Float:
    """Return our unit in single precision; fill values become NaN.

    What is stored in our unit already is returned as it stands.
    """
    fills = [fill for fill in part.fills if not np.isnan(fill)]
    plain = part.scale == 1 and part.offset == 0 and not fills
    if plain and raw.dtype == np.float32 and raw.flags.c_contiguous:
        return raw
    out: Float = np.empty(raw.shape, np.float32)
    scale, offset = np.float32(part.scale), np.float32(part.offset)
    if scale == 1:
        np.add(raw, offset, out=out, casting="same_kind")
    else:
        np.multiply(raw, scale, out=out, casting="same_kind")
        out += offset
    for fill in fills:
        np.copyto(out, np.nan, where=raw == np.asarray(fill).astype(raw.dtype))
    return out


def _pressed(values: Float, name: str) -> Float:
    """Return values of which those are put right that packing left a little outside."""
    variable = VARIABLES[name]
    low, high = np.float32(variable.lowest), np.float32(variable.highest)
    if name not in _SLACK:
        return values
    slack, values = np.float32(_SLACK[name]), values.copy()
    few = (values < low) & (values >= low - slack)
    values[few] = low
    few = (values > high) & (values <= high + slack)
    values[few] = high
    return values


def _within(values: Float, low: np.float32, high: np.float32) -> bool:
    """Whether all known values lie in a range."""
    flat = values.reshape(-1)
    # Several times faster than looking past NaN, which make these two NaN.
    least, most = flat.min(), flat.max()
    if np.isnan(least):
        least, most = np.fmin.reduce(flat), np.fmax.reduce(flat)
    # NaN, where nothing is known, is neither below nor above.
    return not (least < low or most > high)
