"""Who works on the blocks: threads, processes of this machine, or a cluster."""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from climrisk.core import validation
from climrisk.core.errors import ClimriskError, InputError
from climrisk.regions.blocks import Block, Maps, run_block
from climrisk.regions.job import Job
from climrisk.weather.grids.store import needs_extra

if TYPE_CHECKING:
    from distributed import Client

#: A block whose worker died is given out again so many times.
_RETRIES = 3
_SWITCH_S = 0.0001
# Names of glibc's settings (malloc.h).
_TRIM_THRESHOLD, _MMAP_THRESHOLD, _ARENA_MAX = -1, -3, -8
_TRIM_BYTES, _MMAP_BYTES = 256 * 2**20, 32 * 2**20
Finished = Callable[[Block, Maps], None]


@dataclass(frozen=True)
class Workers:
    """How the work is shared out.

    Parameters
    ----------
    scheduler : str, optional
        ``HOST:PORT`` of a running dask.distributed scheduler, to join it.
    workers : int, optional
        Processes of a local cluster; without both, threads of this process.
    threads : int, optional
        Threads without a cluster; as many as processors where not given.
    """

    scheduler: str | None = None
    workers: int | None = None
    threads: int | None = None

    def checked(self) -> Workers:
        """Return itself if it makes sense, else raise InputError."""
        if self.scheduler is not None and self.workers is not None:
            raise InputError(
                "two kinds of workers",
                where="--scheduler, --workers",
                next_step="join a cluster or make one, not both",
            )
        if self.workers is not None:
            validation.number_in(
                self.workers, 1, 256, what="number of workers", where="--workers"
            )
        if self.scheduler is not None and ":" not in self.scheduler:
            raise InputError(
                "not an address of a scheduler",
                where="--scheduler",
                value=self.scheduler,
                allowed="HOST:PORT",
            )
        return self

    @property
    def count(self) -> int:
        """How many blocks are worked on at once, as far as known beforehand."""
        return self.workers or self.threads or os.cpu_count() or 1

    def share_memory(self) -> None:
        """Let threads draw on few common heaps, where the C library is glibc.

        Else each of the store's helpers keeps what it freed for itself, and the process
        grows by a fifth; and asking the system for each large array costs a quarter of
        the time. To be said before the store is opened.
        """
        if self.scheduler is not None or self.workers is not None:
            return
        with contextlib.suppress(OSError, AttributeError):
            mallopt = ctypes.CDLL(None).mallopt
            mallopt(_ARENA_MAX, self.count + 1)
            mallopt(_MMAP_THRESHOLD, _MMAP_BYTES)
            mallopt(_TRIM_THRESHOLD, _TRIM_BYTES)


def work_on(
    job: Job, blocks: Sequence[Block], workers: Workers, finished: Finished
) -> None:
    """Work on blocks and hand each on as soon as it is finished.

    Parameters
    ----------
    job : Job
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
    if workers.scheduler is None and workers.workers is None:
        _on_threads(job, blocks, workers.count, finished)
        return
    with _client(workers) as client:
        _on_cluster(client, job, blocks, finished)


def _on_threads(
    job: Job, blocks: Sequence[Block], count: int, finished: Finished
) -> None:
    from concurrent.futures import FIRST_COMPLETED, ThreadPoolExecutor, wait

    left = iter(blocks)
    with _handing_over(), ThreadPoolExecutor(count) as pool:
        running = {}
        try:
            for block in _some(left, count):
                running[pool.submit(run_block, job, block)] = block
            while running:
                done, _ = wait(running, return_when=FIRST_COMPLETED)
                for future in done:
                    finished(running.pop(future), future.result())
                for block in _some(left, len(done)):
                    running[pool.submit(run_block, job, block)] = block
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


def _some(left: Iterator[Block], count: int) -> list[Block]:
    return [b for _, b in zip(range(count), left, strict=False)]


def _on_cluster(
    client: Client, job: Job, blocks: Sequence[Block], finished: Finished
) -> None:
    from distributed import as_completed

    futures = {
        client.submit(run_block, job, block, retries=_RETRIES, pure=False): block
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


def _lost(error: Exception) -> Exception:
    """Return an error in words where workers died again and again."""
    if type(error).__name__ != "KilledWorker":
        return error
    return InputError(
        f"a block's worker died {_RETRIES} times",
        where="--workers or --scheduler",
        value=error,
        next_step="give workers more memory, and run the same command again: finished "
        "blocks are kept",
    )


@contextmanager
def _client(workers: Workers) -> Iterator[Any]:
    try:
        import dask
        from distributed import Client, LocalCluster
    except ImportError as error:
        raise needs_extra(error) from error
    settings = {
        "logging.distributed": "error",
        "distributed.scheduler.allowed-failures": _RETRIES,
        # Workers give memory back after each block; asking the system for each array
        # costs as much as the arithmetic.
        "distributed.nanny.pre-spawn-environ.MALLOC_TRIM_THRESHOLD_": _TRIM_BYTES,
        "distributed.nanny.pre-spawn-environ.MALLOC_MMAP_THRESHOLD_": _MMAP_BYTES,
    }
    with dask.config.set(settings):
        if workers.scheduler is not None:
            try:
                client = Client(workers.scheduler, timeout="5s")
            except (OSError, TimeoutError, ValueError) as error:
                raise InputError(
                    "no scheduler answers",
                    where="--scheduler",
                    value=workers.scheduler,
                    next_step="start one with: dask scheduler",
                ) from error
            with client:
                yield client
            return
        with (
            LocalCluster(
                n_workers=workers.count,
                threads_per_worker=1,
                processes=True,
                dashboard_address="127.0.0.1:0",
                silence_logs=50,
            ) as cluster,
            Client(cluster) as client,
        ):
            yield client
