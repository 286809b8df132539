"""The front door of regions: plain words in, maps on disk and a frozen result out."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import CautionText, Setting, for_plant
from climrisk.commands.region.assumed import assumed
from climrisk.commands.region.cell_summary import SPREAD_MAPS, Maps, cell, spread
from climrisk.commands.region.command import REPORT, Progress, RegionInput, Say
from climrisk.commands.region.reopen import read_again
from climrisk.commands.region.result import PickedCell, RegionResult
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.weather_info import caution_info
from climrisk.core.defaults import DEFAULT_SPOT
from climrisk.core.errors import InputError
from climrisk.core.lookups import note
from climrisk.core.output_paths import check_outputs
from climrisk.core.quantities import LENGTH, quantity
from climrisk.core.references import field
from climrisk.core.version import __version__
from climrisk.plants.registry import find
from climrisk.regions.blocks import Block, run_block
from climrisk.regions.checkpoint import Work
from climrisk.regions.job import RegionJob, job_plants
from climrisk.regions.maps import empty_maps, store_of, write_maps
from climrisk.regions.plan import Plan, plan
from climrisk.regions.rechunk import copies_of, rechunked, remove_copies
from climrisk.regions.units import OUTPUTS
from climrisk.regions.workers import Workers, work_on
from climrisk.render.document import Caution
from climrisk.spot.kinds import spot_kind
from climrisk.weather.grids.store import check_in_time
from climrisk.weather.selection import parse_at

Place = tuple[float, ...]
#: Maps up to this size are put together in memory while blocks are worked on.
_HELD_BYTES = 100_000_000


def region(given: RegionInput) -> RegionResult:
    """Return what a spot would do to plants in every cell of a grid.

    Parameters
    ----------
    given : RegionInput
        Without `out`, only the cells of `at` are computed.

    Raises
    ------
    InputError
        In one line, what is wrong; finished blocks are kept.
    """
    start = time.perf_counter()
    crew = Workers(given.scheduler, given.workers, given.threads).checked()
    paths, out = list(given.source), given.out
    if out is not None:
        crew.begin()
    places = [parse_at(text) for text in given.at]
    for path in paths:
        check_in_time(path)
    if len(paths) == 1 and out is None:
        before = read_again(paths[0], given.plant, places)
        if before is not None:
            return before
    job = job_of(tuple(str(p.resolve()) for p in paths), given)
    target = out
    if target is not None:
        store_of(target)
        beside = [Work(target, job).folder, *copies_of(job, target)]
        outputs = {field("out"): target} | {
            f"beside {field('out')}, {p.name}": p for p in beside
        }
        check_outputs(outputs, paths, folders=outputs)
    elif not places:
        raise InputError(
            "nothing to compute",
            where="region",
            next_step=f"write {field('out', 'FILE.nc')} for maps, or "
            f"{field('at', 'LAT,LON')} for a cell",
        )
    cells = [job.grid().nearest(p[0], p[1]) for p in places]
    if target is None:
        at_cells = _only(job, places, cells)
        result = _result(job, None, at_cells)
    else:
        run = _Run(job, target, crew, *_reports())
        try:
            cut, reused = run.compute(rechunk=given.rechunk)
            at_cells = [
                cell(run.at(*c), job.plants, (p[0], p[1]), _center(job, *c))
                for p, c in zip(places, cells, strict=True)
            ]
            result = _result(job, run.get, at_cells)
            run.write(result)
        finally:
            run.release()
        result = result.model_copy(
            update={
                "out": str(target),
                "blocks": len(cut.blocks),
                "blocks_kept": reused,
                "readings_of_each_value": round(cut.readings, 2),
                "files": [str(target)],
            }
        )
    seconds = round(time.perf_counter() - start, 3)
    return result.model_copy(update={"seconds": seconds})


def job_of(paths: Sequence[str], given: RegionInput) -> RegionJob:
    """Return a request for every cell, its every word checked.

    Raises
    ------
    InputError
        No plant, a name that is not known, or a number out of range.
    """
    if not given.plant:
        raise InputError("no plant named", where=field("plant"), next_step="name one")
    today = datetime.now(UTC).date()
    request = request_of(given, None, today, plant=given.plant[0])
    kind = (request.spot or spot_kind(DEFAULT_SPOT)).with_site(request.site)
    note("spot", kind.name, kind)  # the workers that look it up are elsewhere
    return RegionJob(
        tuple(paths),
        given.variable,
        job_plants([find(name) for name in given.plant], request.state),
        request.state,
        kind,
        request.pot,
        request.setup,
        request.risk,
        request.spring_risk,
    )


def _reports() -> tuple[Progress, Say]:
    """Return who is told of finished blocks, and of what the user should know."""
    progress, say = REPORT.get()
    return progress or (lambda *_: None), say or (lambda _: None)


def _bytes_a_cell(plants: int) -> int:
    """Return what all maps of a cell take."""
    return sum(
        math.prod(o.shape(plants, ())) * np.dtype(o.dtype).itemsize
        for o in OUTPUTS.values()
    )


class _Run:
    """A map in the making."""

    def __init__(
        self, job: RegionJob, out: Path, crew: Workers, progress: Progress, say: Say
    ) -> None:
        self.job, self.out, self.crew = job, out, crew
        self.progress, self.say = progress, say
        self.work: Work | None = None
        self.plan: Plan | None = None
        # Maps too large for that are put together from the finished blocks.
        size = _bytes_a_cell(len(job.plants)) * job.grid().cells
        self.in_memory = size <= _HELD_BYTES
        self.whole = self._empty(OUTPUTS if self.in_memory else ())

    def compute(self, *, rechunk: bool) -> tuple[Plan, int]:
        """Work on the blocks that are not there; return the plan and how many were."""
        reading = rechunked(self.job, self.out, self.say) if rechunk else self.job
        fresh = plan(reading, workers=self.crew.count)
        if fresh.advice and not rechunk:
            self.say(fresh.advice)
        self.work = Work(self.out, self.job)
        cut, reused = self.work.begin(fresh)
        self.plan = cut
        left = [b for b in cut.blocks if b.number not in reused]
        if reused:
            self.say(
                f"{len(reused)} of {len(cut.blocks)} blocks reused from an earlier run"
            )
        for block in cut.blocks:
            if self.in_memory and block.number in reused:
                self._place(block, self.work.read(block, OUTPUTS), self.whole)
        done = len(reused)
        self.progress(done, len(cut.blocks))

        def finished(block: Block, maps: dict[str, NDArray[Any]]) -> None:
            nonlocal done
            assert self.work is not None
            self.work.keep(block, maps)
            if self.in_memory:
                self._place(block, maps, self.whole)
            done += 1
            self.progress(done, len(cut.blocks))

        if left and self.crew.scheduler is None:
            from climrisk.regions.compiled import compile_for_maps

            compile_for_maps(self.say)
        work_on(reading, left, self.crew, finished)
        return cut, len(reused)

    def get(self, *names: str) -> dict[str, NDArray[Any]]:
        """Return whole maps of the finished blocks."""
        assert self.work is not None
        assert self.plan is not None
        if self.in_memory:
            return {name: self.whole[name] for name in names}
        whole = self._empty(names)
        for block in self.plan.blocks:
            self._place(block, self.work.read(block, names), whole)
        return whole

    def _empty(self, names: Iterable[str]) -> dict[str, NDArray[Any]]:
        """Return whole maps full of nothing."""
        grid, plants = self.job.grid(), len(self.job.plants)
        cells = (len(grid.latitude), len(grid.longitude))
        return {
            name: np.full(OUTPUTS[name].shape(plants, cells), OUTPUTS[name].fill,
                          OUTPUTS[name].dtype)
            for name in names
        }  # fmt: skip

    @staticmethod
    def _place(block: Block, maps: Maps, whole: dict[str, NDArray[Any]]) -> None:
        """Put the maps of a block where they belong in whole ones."""
        y0, y1, x0, x1 = block.box
        for name, part in maps.items():
            whole[name][..., y0:y1, x0:x1] = part

    def at(self, y: int, x: int) -> Maps:
        """Return all maps of a cell."""
        assert self.work is not None
        assert self.plan is not None
        for block in self.plan.blocks:
            y0, y1, x0, x1 = block.box
            if y0 <= y < y1 and x0 <= x < x1:
                held = self.work.read(block, OUTPUTS)
                return {k: v[..., y - y0, x - x0] for k, v in held.items()}
        msg = f"no block holds cell {y}, {x}"
        raise ValueError(msg)

    def release(self) -> None:
        """Let other runs have the folder of blocks."""
        if self.work is not None:
            self.work.release()

    def write(self, result: RegionResult) -> None:
        """Write the file and remove the blocks."""
        said = {
            "assumed": "; ".join(f"{a.variable}: {a.value}" for a in result.assumed),
            "comment": "; ".join(result.notes),
            "caution": " ".join(c.text for c in result.cautions),
        }
        frame = empty_maps(self.job, {k: v for k, v in said.items() if v})
        write_maps(self.out, frame, self.get)
        assert self.work is not None
        self.work.done()
        remove_copies(self.job, self.out)


def _only(
    job: RegionJob, places: Sequence[Place], cells: Sequence[tuple[int, int]]
) -> list[PickedCell]:
    """Return cells, computed alone."""
    window = plan(job).blocks[0].window_h
    out = []
    for place, (y, x) in zip(places, cells, strict=True):
        maps = run_block(job, Block(0, (y, y + 1, x, x + 1), window))
        alone = {name: values[..., 0, 0] for name, values in maps.items()}
        out.append(cell(alone, job.plants, (place[0], place[1]), _center(job, y, x)))
    return out


def _center(job: RegionJob, y: int, x: int) -> tuple[float, float]:
    grid = job.grid()
    return float(grid.latitude[y]), float(grid.east_deg[x])


def _result(
    job: RegionJob,
    get: Callable[..., Maps] | None,
    at: list[PickedCell],
) -> RegionResult:
    grid = job.grid()
    count = len(grid.latitude) * len(grid.longitude)
    plants, empty = [], 0
    if get is not None:
        maps = get(*SPREAD_MAPS, "known_hours")
        plants = [spread(maps, i, plant) for i, plant in enumerate(job.plants)]
        empty = int(np.isnan(maps["known_hours"]).sum())
    last = grid.time[-1] + np.timedelta64(60, "m")
    return RegionResult(
        command="region",
        version=__version__,
        input=grid.label,
        out=None,
        first=f"{grid.time[0]}Z",
        last=f"{last}Z",
        hours=len(grid.time),
        latitudes=len(grid.latitude),
        longitudes=len(grid.longitude),
        cells=count if get is not None else len(at),
        cells_without_hours=empty
        if get is not None
        else sum(c.known_hours is None for c in at),
        blocks=len(at),
        blocks_kept=0,
        readings_of_each_value=1.0,
        seconds=0.0,
        spot=job.spot.name,
        spot_at=job.spot.at,
        pot=f"{job.pot.kind} {quantity(LENGTH, job.pot.diameter_cm)}",
        medium=job.pot.medium_name,
        setup=job.setup,
        state=job.state,
        risk=job.risk,
        spring_risk=job.spring_risk,
        plants=plants,
        at=at,
        assumed=assumed(job),
        notes=list(grid.notes),
        cautions=_cautions(job),
        files=[],
    )


def _cautions(job: RegionJob) -> list[Caution]:
    texts: list[CautionText] = []
    for plant in job.plants:
        profile = find(plant.name)
        setting = Setting(
            toxic_note=profile.toxic_note,
            state=job.state,
            medium=job.pot.medium_name,
            pot=job.pot.kind,
            pot_diameter_cm=job.pot.diameter_cm,
            outdoors=not job.spot.indoors,
            glazed=job.spot.group == "glazed",
            moves=True,
            wetness=job.pot.water,
            rain=job.spot.rain,
            rest=profile.rest,
        )
        texts += for_plant(setting)
    # Plants share most of them.
    return caution_info(dict.fromkeys(texts))
