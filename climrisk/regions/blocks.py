"""One block of cells: read, march and judge it; the task that workers are given."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.heat import PlacesHeat
from climrisk.advice.places import advise_places
from climrisk.core.arrays import Float
from climrisk.core.calendar import YEAR_H, season_date
from climrisk.core.chunked import single_threaded
from climrisk.exposure.hours import Exposure
from climrisk.regions.cells import (
    TAIL_H,
    Batch,
    Group,
    Record,
    Values,
    grouped,
    lead_h,
    record_of,
)
from climrisk.regions.job import JobPlant, RegionJob
from climrisk.regions.units import HEAT_MAPS, OUTPUTS
from climrisk.weather.grids.read import Box, Cells, Held
from climrisk.weather.grids.zarr_chunks import Room

Maps = dict[str, NDArray[Any]]
#: First and stop of the hours that are there, and of those to be counted; and what
#: returns the values of some hours and cells.
Stretch = tuple[tuple[int, int], tuple[int, int], Values]

#: Cells marched together: wide enough for the vector loops, few enough for the cache.
CASES = 256
#: What a thread keeps from block to block.
_mine = threading.local()


@dataclass(frozen=True)
class Block:
    """A rectangle of cells and how it is read.

    Parameters
    ----------
    number : int
    box : tuple of int
        First and stop of y, first and stop of x.
    window_h : int
        Hours read at once.
    """

    number: int
    box: Box
    window_h: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return self.box[1] - self.box[0], self.box[3] - self.box[2]

    @property
    def cells(self) -> int:
        """Number of cells."""
        return self.shape[0] * self.shape[1]


def run_block(job: RegionJob, block: Block) -> Maps:
    """Return the maps of a block.

    Parameters
    ----------
    job : RegionJob
    block : Block

    Returns
    -------
    dict of str to ndarray
        By the names of `climrisk.regions.units.OUTPUTS`, shape (plant, y, x),
        (plant, month, y, x) or (y, x) as told there. A cell without any hour is NaN, or
        -1 in a map of codes.
    """
    grid = job.grid()
    hours, lead = len(grid.time), lead_h(job)
    if not hasattr(_mine, "room"):
        _mine.room = Room()
    room: Room = _mine.room

    def parts() -> Iterator[Stretch]:
        for first in range(0, hours, block.window_h):
            stop = min(first + block.window_h, hours)
            begin, end = max(0, first - lead), min(hours, stop + TAIL_H)
            # Not kept by a name: the next hours are read into the room of these.
            yield (
                (begin, end),
                (first, stop),
                Held(grid, begin, end, block.box, room).values,
            )

    record = record_of(grid.label, str(grid.time[0]), hours)
    with single_threaded():
        maps = maps_of(job, record, places_of(job, block), parts())
    return {k: v.reshape(*v.shape[:-1], *block.shape) for k, v in maps.items()}


def maps_of(
    job: RegionJob,
    record: Record,
    places: tuple[Float, Float],
    parts: Iterable[Stretch],
) -> Maps:
    """Return the maps of some cells from their hours.

    Parameters
    ----------
    job : RegionJob
    record : Record
    places : (ndarray, ndarray), shape (cell,)
        Latitudes and longitudes.
    parts : iterable of Stretch
        In order of time, together the whole record.

    Returns
    -------
    dict of str to ndarray
        As `run_block`, with one axis of cells in place of y and x.
    """
    cells, hours = len(places[0]), len(record.time)
    batches: list[tuple[NDArray[np.int64], Batch]] = []
    for there, counted, values in parts:
        if counted[0] == 0:
            use = np.arange(cells)
            if counted[1] == hours:
                use = _with_air(values, counted, cells)
            batches = _batches(job, record, places, use)
        for mine, batch in batches:
            batch.add(partial(values, cells=_columns(mine)), there, counted)
        del values
    out: Maps = {
        name: np.full(spec.shape(len(job.plants), (cells,)), spec.fill, spec.dtype)
        for name, spec in OUTPUTS.items()
    }
    for mine, batch in batches:
        _judge(job, batch, mine, out)
    return out


def _batches(
    job: RegionJob, record: Record, places: tuple[Float, Float], use: NDArray[np.int64]
) -> list[tuple[NDArray[np.int64], Batch]]:
    """Return batches of cells and which cells they are."""
    latitude, longitude = (x[use] for x in places)
    out = []
    for group in grouped(latitude, longitude):
        for start in range(0, len(group.cells), CASES):
            mine = group.cells[start : start + CASES]
            part = Group(group.offset_h, group.north, mine)
            batch = Batch(job, record, part, latitude[mine], longitude[mine])
            out.append((use[mine], batch))
    return out


def _with_air(values: Values, hours: tuple[int, int], cells: int) -> NDArray[np.int64]:
    """Return the cells that know any air: over the sea, many a grid knows nothing."""
    none = np.ones(cells, bool)
    for at in np.linspace(hours[0], hours[1] - 1, 3).astype(int):
        some = values(int(at), int(at) + 1, cells=slice(None))
        none &= np.isnan(some["air_temp_c"][0])
    doubtful = np.flatnonzero(none)
    if len(doubtful):
        air = values(*hours, cells=doubtful)["air_temp_c"]
        none[doubtful] = np.isnan(air).all(axis=0)
    return np.flatnonzero(~none)


def _columns(mine: NDArray[np.int64]) -> Cells:
    """Return cells side by side as a slice, which is copied row by row."""
    if mine[-1] - mine[0] == len(mine) - 1:
        return slice(int(mine[0]), int(mine[-1]) + 1)
    return mine


def places_of(job: RegionJob, block: Block) -> tuple[Float, Float]:
    """Return latitude and longitude of the cells of a block, shape (cell,)."""
    grid = job.grid()
    y0, y1, x0, x1 = block.box
    rows, columns = grid.latitude[y0:y1], grid.east_deg[x0:x1]
    both = np.meshgrid(rows, columns, indexing="ij")
    return both[0].ravel(), both[1].ravel()


def _judge(job: RegionJob, batch: Batch, mine: NDArray[np.int64], out: Maps) -> None:
    """Fill the columns of a batch."""
    air, root = batch.air.exposure(), batch.root.exposure()
    expected = len(batch.seasons.night)
    known = expected - air.total_unknown
    some = known > 0
    at = mine[some]
    out["known_hours"][at] = known[some]
    out["lowest_air_temperature"][at] = _lowest(air)[some]
    out["lowest_root_zone_temperature"][at] = _lowest(root)[some]
    for i, plant in enumerate(job.plants):
        for name, values in _of_plant(job, plant, air, root, known).items():
            out[name][i, ..., at] = np.moveaxis(values, -1, 0)[some]


def _lowest(swept: Exposure) -> Float:
    lowest = swept.nights.lowest_c
    known = np.isfinite(lowest)
    least = np.where(known, lowest, np.inf).min(axis=0)
    return np.where(known.any(axis=0), least, np.nan)


def _of_plant(
    job: RegionJob, plant: JobPlant, air: Exposure, root: Exposure, known: Float
) -> Maps:
    """Return the maps of a plant, cells last."""
    k = int(np.searchsorted(job.thresholds, plant.preferred_c))
    heat = [PlacesHeat.of(air, limit) for limit in plant.heat]
    advice = advise_places(
        air.nights,
        (plant.preferred_c, plant.tolerated_c),
        (job.risk, job.spring_risk),
        plant.exemption,
        heat,
        heated=job.spot.heated,
    )
    years = np.where(advice.winters > 0, advice.winters, np.nan)
    j = int(np.searchsorted(job.thresholds, plant.tolerated_c))
    out: Maps = {
        "hours_below_preferred": air.total_hours[k],
        "hours_below_preferred_per_year": air.total_hours[k]
        * (YEAR_H / np.maximum(known, 1)),
        "degree_hours_below_preferred": air.degree_hours[:, :, k].sum(
            axis=(0, 1), dtype=float
        ),
        "longest_run_hours": air.longest_run_hours[1, k].astype(float),
        "longest_run_nights": air.longest_run_nights(k)[1].astype(float),
        "root_zone_hours_below_preferred": root.total_hours[k],
        "winters": advice.winters.astype(float),
        "share_of_years_with_cold_night": advice.with_cold_night / years,
        "share_of_years_with_harmful_night": advice.with_harmful_night / years,
        "month_state": advice.shown,
        "month_share_with_harmful_night": advice.month_share,
        "move_in_day_of_year": _day_of_year(advice.move_in_day, north=air.nights.north),
        "move_out_day_of_year": _day_of_year(
            advice.move_out_day, north=air.nights.north
        ),
        "move_in_status": advice.move_in_status,
        "move_out_status": advice.move_out_status,
        "hours_below_tolerated": air.total_hours[j],
        "degree_hours_below_tolerated": air.degree_hours[:, :, j].sum(
            axis=(0, 1), dtype=float
        ),
        "root_zone_hours_below_tolerated": root.total_hours[j],
        "months_indoors": advice.months_indoors,
        "verdict_at_spot": advice.verdict,
    }
    for one in heat:
        out[HEAT_MAPS[one.limit.kind]] = one.typical()
    return out


def _day_of_year(day: Float, *, north: bool) -> Float:
    """Return days of the growing year as days of a common calendar year, from 1."""
    month, of_month = season_date(0, north=north)
    first = int(
        (
            np.datetime64(f"2019-{month:02d}-{of_month:02d}")
            - np.datetime64("2019-01-01")
        )
        / np.timedelta64(1, "D")
    )
    return np.asarray((day + first) % 365 + 1)
