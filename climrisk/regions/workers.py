"""Who works on the blocks: threads, processes of this machine, or a cluster."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cache
from itertools import islice
from typing import TYPE_CHECKING, Any

from climrisk.core import validation
from climrisk.core.errors import ClimriskError, InputError
from climrisk.core.memory import keep_freed_memory
from climrisk.core.references import field
from climrisk.regions.blocks import Block, Maps, run_block
from climrisk.regions.job import RegionJob
from climrisk.regions.processes import (
    DEATHS,
    Finished,
    on_processes,
    prepare_workers,
    workers_died,
)
from climrisk.weather.grids.store import needs_extra

if TYPE_CHECKING:
    from distributed import Client

_SWITCH_S = 0.0001
#: Threads of one process wait for each other in the interpreter: from four on each
#: further one brings less than a process does (16 of them less than eight).
_THREADS_MOST = 4


@dataclass(frozen=True)
class Workers:
    """How the work is shared out.

    Parameters
    ----------
    scheduler : str, optional
        ``HOST:PORT`` of a running dask.distributed scheduler, to join it.
    workers : int, optional
        Processes of this machine.
    threads : int, optional
        Threads of this process.
    """

    scheduler: str | None = None
    workers: int | None = None
    threads: int | None = None

    def checked(self) -> Workers:
        """Return itself if it makes sense, else raise InputError.

        Without any wish, many processors get a process each, few a thread each.
        """
        if self.scheduler is not None and self.workers is not None:
            raise InputError(
                "two kinds of workers",
                where=f"{field('scheduler')}, {field('workers')}",
                next_step="join a cluster or make one, not both",
            )
        if self.workers is not None:
            validation.number_in(
                self.workers, 1, 256, what="number of workers", where=field("workers")
            )
        if self.scheduler is not None and ":" not in self.scheduler:
            raise InputError(
                "not an address of a scheduler",
                where=field("scheduler"),
                value=self.scheduler,
                allowed="HOST:PORT",
            )
        processors = os.cpu_count() or 1
        wishes = (self.scheduler, self.workers, self.threads)
        if processors > _THREADS_MOST and all(wish is None for wish in wishes):
            return Workers(workers=processors)
        return self

    @property
    def count(self) -> int:
        """How many blocks are worked on at once, as far as known beforehand."""
        return self.workers or self.threads or os.cpu_count() or 1

    def begin(self) -> None:
        """Get ready what takes a while; to be called before the store is opened."""
        if self.workers is not None:
            prepare_workers()
        elif self.scheduler is None:
            keep_freed_memory(self.count)


def work_on(
    job: RegionJob, blocks: Sequence[Block], workers: Workers, finished: Finished
) -> None:
    """Work on blocks and hand each on as soon as it is finished.

    Parameters
    ----------
    job : RegionJob
    blocks : sequence of Block
    workers : Workers
    finished : callable
        Called with a block and its maps, in this thread.

    Raises
    ------
    ClimriskError
        What a block met; those finished before were handed on.
    """
    if not blocks:
        return
    # Small ones last: they fill what is left of the time of the last large ones.
    blocks = sorted(blocks, key=lambda block: -block.cells)
    if workers.scheduler is not None:
        with _client(workers.scheduler) as client:
            _on_cluster(client, job, blocks, finished)
    elif workers.workers is not None:
        on_processes(job, blocks, workers.count, finished)
    else:
        _on_threads(job, blocks, workers.count, finished)


def _on_threads(
    job: RegionJob, blocks: Sequence[Block], count: int, finished: Finished
) -> None:
    from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait

    left = iter(blocks)
    with _handing_over(), ThreadPoolExecutor(count) as pool:
        running: dict[Any, Block] = {}

        def give_out(some: int) -> None:
            for block in islice(left, some):
                running[pool.submit(run_block, job, block)] = block

        try:
            # As many wait as are worked on, so that no thread waits for this one.
            give_out(2 * count)
            while running:
                done, _ = wait(running, return_when=FIRST_COMPLETED)
                give_out(len(done))
                # What is finished is handed on before anything that failed ends all.
                for future in sorted(done, key=lambda f: f.exception() is not None):
                    finished(running.pop(future), future.result())
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


@contextmanager
def _handing_over() -> Iterator[None]:
    """Let threads hand the interpreter over soon: each holds it only for moments."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(_SWITCH_S)
    try:
        yield
    finally:
        sys.setswitchinterval(before)


def _on_cluster(
    client: Client, job: RegionJob, blocks: Sequence[Block], finished: Finished
) -> None:
    from distributed import as_completed

    futures = {
        client.submit(_on_worker, job, block, retries=DEATHS, pure=False): block
        for block in blocks
    }
    try:
        for future in as_completed(list(futures)):
            try:
                maps = future.result()
            except ClimriskError:
                raise
            except Exception as error:
                raise _lost(error) from error
            finished(futures.pop(future), maps)
            future.release()
    finally:
        client.cancel(list(futures))


def _on_worker(job: RegionJob, block: Block) -> Maps:
    """Return the maps of a block, on a worker of a cluster."""
    _compile_here()
    return run_block(job, block)


@cache
def _compile_here() -> None:
    """Compile what this machine lacks: its workers wait for one of them."""
    from climrisk.regions.compiled import compile_for_maps

    compile_for_maps(lambda _: None)


def _lost(error: Exception) -> Exception:
    """Return an error in words where workers died again and again."""
    return workers_died(error) if type(error).__name__ == "KilledWorker" else error


@contextmanager
def _client(scheduler: str) -> Iterator[Any]:
    try:
        import dask
        from distributed import Client
    except ImportError as error:
        raise needs_extra(error) from error
    settings = {
        "logging.distributed": "error",
        "distributed.scheduler.allowed-failures": DEATHS,
    }
    with dask.config.set(settings):
        try:
            client = Client(scheduler, timeout="5s")
        except (OSError, TimeoutError, ValueError) as error:
            raise InputError(
                "no scheduler answers",
                where=field("scheduler"),
                value=scheduler,
                next_step="start one with: dask scheduler",
            ) from error
        with client:
            yield client
