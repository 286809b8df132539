"""Worker processes of this machine, forked from one that has loaded what they need."""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from types import ModuleType
from typing import Any

from climrisk.core.errors import InputError
from climrisk.core.memory import keep_freed_memory
from climrisk.core.references import field
from climrisk.regions.blocks import Block, Maps, run_block
from climrisk.regions.cells import Record, hold_record, record_of
from climrisk.regions.job import RegionJob, hold_grid
from climrisk.weather.grids.file import Grid

Finished = Callable[[Block, Maps], None]
#: So often in a row may workers die before any of them finishes a block.
DEATHS = 3
_PRELOADED = "climrisk.regions.preloaded"

_job: RegionJob


def _context() -> Any:
    if "forkserver" not in multiprocessing.get_all_start_methods():
        return multiprocessing.get_context("spawn")
    context = multiprocessing.get_context("forkserver")
    context.set_forkserver_preload([_PRELOADED])
    return context


def prepare_workers() -> None:
    """Start the process that workers are forked from; it gets ready beside this one."""
    if _context().get_start_method() == "forkserver":
        from multiprocessing import forkserver

        forkserver.ensure_running()


def on_processes(
    job: RegionJob, blocks: Sequence[Block], count: int, finished: Finished
) -> None:
    """Work on blocks in processes of this machine; see `workers.work_on`.

    Blocks whose worker died are given out again.

    Parameters
    ----------
    job : RegionJob
    blocks : sequence of Block
    count : int
        Of processes.
    finished : callable

    Raises
    ------
    ClimriskError
        What a block met, or workers that die again and again.
    """
    left = {block.number: block for block in blocks}
    deaths = 0

    def hand_on(block: Block, maps: Maps) -> None:
        nonlocal deaths
        finished(block, maps)
        del left[block.number]
        deaths = 0

    while left:
        try:
            _one_pool(job, list(left.values()), min(count, len(left)), hand_on)
        except BrokenProcessPool as error:
            deaths += 1
            if deaths == DEATHS:
                raise workers_died(error) from error


def _one_pool(
    job: RegionJob, blocks: Sequence[Block], count: int, finished: Finished
) -> None:
    pool = ProcessPoolExecutor(
        count, _context(), initializer=_begin, initargs=_needs(job)
    )
    try:
        with _without_program():
            running = {pool.submit(_work, block): block for block in blocks}
        for future in as_completed(running):
            finished(running.pop(future), future.result())
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def workers_died(error: Exception) -> InputError:
    """Return the error of workers that died again and again."""
    return InputError(
        f"a block's worker died {DEATHS} times",
        where=f"{field('workers')} or {field('scheduler')}",
        value=error,
        next_step="give workers more memory, and run the same command again: finished "
        "blocks are kept",
    )


@contextmanager
def _without_program() -> Iterator[None]:
    """Start workers without the program that asked for maps: they need none of it.

    Each would run the program's file again, up to where that asks for maps.
    """
    program = sys.modules["__main__"]
    sys.modules["__main__"] = ModuleType("__main__")
    try:
        yield
    finally:
        sys.modules["__main__"] = program


def _needs(job: RegionJob) -> tuple[RegionJob, Grid, Record]:
    """Return what `_begin` takes, made here, with libraries that workers do without."""
    grid = job.grid()
    record = record_of(grid.label, str(grid.time[0]), len(grid.time))
    _ = record.toward  # goes along
    return job, grid, record


def _begin(job: RegionJob, grid: Grid, record: Record) -> None:
    """Get a worker ready for the blocks of a job."""
    global _job
    _job = job
    hold_grid(job, grid)
    hold_record(record)
    # An interrupt reaches all processes of a terminal; the first one ends the others.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    keep_freed_memory(1)
    with contextlib.suppress(ImportError):
        from numcodecs import blosc

        blosc.use_threads = False
    threading.Thread(target=_end_with_parent, daemon=True).start()


def _end_with_parent() -> None:
    """End this process once the one that started it is gone, however it ended."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        parent.join()
        os._exit(1)


def _work(block: Block) -> Maps:
    return run_block(_job, block)
