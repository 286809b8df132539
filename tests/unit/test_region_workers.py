"""Whoever works on a map, and whatever happens to them: the same maps to the bit."""

from __future__ import annotations

import multiprocessing
import os
import signal
import subprocess
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import pytest

from climrisk.core.errors import InputError
from climrisk.regions import processes
from climrisk.regions.blocks import Block
from climrisk.weather.grids.zarr_chunks import ZarrChunks
from examples.made_region import write
from tests.asking import region
from tests.quick import but_quick
from tests.unit.test_region_runs import PLANTS, job

HOURS = 24 * 30
#: Until what must happen has happened; a test fails where it never does.
PATIENCE_S = 120.0


@pytest.fixture(scope="module")
def store(tmp_path_factory):
    path = tmp_path_factory.mktemp("workers") / "in.zarr"
    write(path, rows=16, columns=40, hours=HOURS, chunk=(HOURS, 4, 4))
    return path


def maps(out):
    """Return what lies in a Zarr store of maps, but for when it was made."""
    return {
        str(p.relative_to(out)): p.read_bytes()
        for p in sorted(out.rglob("*"))
        if p.is_file() and p.name not in (".zattrs", ".zmetadata")
    }


@pytest.fixture(scope="module")
def truth(store):
    out = store.with_name("truth.zarr")
    mapped = region(store, PLANTS, out=out, threads=1)
    assert mapped.blocks >= 8
    return maps(out)


@pytest.mark.parametrize("kind", ["threads", "workers"])
@pytest.mark.parametrize("count", but_quick([1, 2, 4, 8, 16], 2))
def test_any_number_gives_the_same_bytes(store, truth, tmp_path, kind, count):
    out = tmp_path / "maps.zarr"
    region(store, PLANTS, out=out, **{kind: count})
    assert maps(out) == truth


def test_maps_too_large_for_memory_are_the_same(store, truth, tmp_path, monkeypatch):
    monkeypatch.setattr("climrisk.commands.region.compute._HELD_BYTES", 0)
    out = tmp_path / "maps.zarr"
    region(store, PLANTS, out=out, threads=2)
    assert maps(out) == truth


@pytest.mark.long
def test_a_slow_store_gives_the_same_bytes(store, truth, tmp_path, monkeypatch):
    decode, calls = ZarrChunks._decode, []

    def slow(self, at, out):
        calls.append(at)
        time.sleep(0.02 * (len(calls) % 4))
        decode(self, at, out)

    monkeypatch.setattr(ZarrChunks, "_decode", slow)
    out = tmp_path / "maps.zarr"
    region(store, PLANTS, out=out, threads=4)
    assert calls
    assert maps(out) == truth


def test_the_blocks_of_a_killed_worker_are_given_out_again(store, truth, tmp_path):
    out, killed = tmp_path / "maps.zarr", []

    def kill_one(done, _):
        if done == 2:
            killed.append(multiprocessing.active_children()[0].pid)
            os.kill(killed[0], signal.SIGKILL)

    mapped = region(store, PLANTS, out=out, workers=2, progress=kill_one)
    assert killed
    assert mapped.blocks_kept == 0
    assert maps(out) == truth


def test_workers_that_always_die_end_with_a_line(store, monkeypatch):
    tries = []

    def broken(*given):
        tries.append(given)
        raise BrokenProcessPool("died")

    monkeypatch.setattr(processes, "_one_pool", broken)
    block = Block(0, (0, 1, 0, 1), HOURS)
    with pytest.raises(InputError, match=r"worker died 3 times.*finished blocks"):
        processes.on_processes(job(store), [block], 1, lambda *_: None)
    assert len(tries) == processes.DEATHS


RUN = """
import multiprocessing, sys
from pathlib import Path
from climrisk.commands.region.command import REPORT, RegionInput
from climrisk.commands.region.compute import region
def progress(done, total):
    print(done, *(p.pid for p in multiprocessing.active_children()), flush=True)
REPORT.set((progress, None))
store, out = map(Path, sys.argv[1:])
region(RegionInput(source=(store,), plant=tuple({plants!r}), out=out, workers=2))
print("whole", flush=True)
"""


def run_script(folder, store, out):
    """Start a program that asks for maps where it stands, without any guard."""
    script = folder / "script.py"
    script.write_text(RUN.format(plants=PLANTS))
    command = [sys.executable, str(script), str(store), str(out)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


@pytest.mark.long
def test_a_program_is_not_run_again_by_its_workers(store, truth, tmp_path):
    out = tmp_path / "maps.zarr"
    with run_script(tmp_path, store, out) as run:
        lines = run.stdout.read().splitlines()
    assert run.returncode == 0
    assert lines.count("whole") == 1
    assert [int(line.split()[0]) for line in lines[:-1]] == list(range(len(lines) - 1))
    assert maps(out) == truth


@pytest.mark.long
def test_workers_end_with_the_program_and_the_map_goes_on(store, truth, tmp_path):
    out = tmp_path / "maps.zarr"
    with run_script(tmp_path, store, out) as run:
        for line in run.stdout:
            done, *workers = map(int, line.split())
            if done == 3:
                run.kill()
                break
    assert workers
    until = time.monotonic() + PATIENCE_S
    while any(Path(f"/proc/{pid}").exists() for pid in workers):
        assert time.monotonic() < until, "a worker goes on without its program"
        time.sleep(0.05)
    mapped = region(store, PLANTS, out=out, workers=1)
    assert mapped.blocks_kept >= 3
    assert maps(out) == truth


def test_a_worker_loads_no_library_that_it_does_not_need(store):
    with ProcessPoolExecutor(
        1, processes._context(), initializer=processes._begin,
        initargs=processes._needs(job(store)),
    ) as pool:  # fmt: skip
        with processes._without_program():
            made = pool.submit(processes._work, Block(0, (0, 4, 0, 4), HOURS))
            assert made.result()["known_hours"].shape == (4, 4)
        loaded = pool.submit(eval, "set(__import__('sys').modules)").result()
    needless = {"pandas", "xarray", "zarr", "plotly", "fastapi", "dask", "pvlib"}
    assert not needless & loaded


def dask(folder, *words):
    """Start a part of a cluster in a folder of its own."""
    folder.mkdir()
    with (folder / "log").open("w") as log:
        return subprocess.Popen(
            [sys.executable, "-m", *words],
            cwd=folder, stdout=log, stderr=subprocess.STDOUT,
        )  # fmt: skip


@pytest.mark.long
@pytest.mark.parametrize("count", [1, 2, 4, 8, 16])
def test_a_cluster_of_workers_in_their_own_folders(store, truth, tmp_path, count):
    address = tmp_path / "scheduler.json"
    parts = [
        dask(
            *(tmp_path / "scheduler", "distributed.cli.dask_scheduler"),
            *("--host", "127.0.0.1", "--port", "0", "--no-dashboard"),
            *("--scheduler-file", str(address)),
        )
    ]
    try:
        until = time.monotonic() + PATIENCE_S
        while not address.exists():
            assert time.monotonic() < until, "no scheduler"
            time.sleep(0.05)
        parts += [
            dask(
                *(tmp_path / f"machine-{i}", "distributed.cli.dask_worker"),
                *("--scheduler-file", str(address), "--nthreads", "1"),
                *("--no-dashboard", "--no-nanny"),
            )
            for i in range(count)
        ]
        from distributed import Client

        with Client(scheduler_file=str(address)) as client:
            client.wait_for_workers(count, timeout=PATIENCE_S)
            scheduler = client.scheduler.address.removeprefix("tcp://")

        def kill_one(done, _):
            if done == 2 and count > 1:
                parts[1].kill()

        out = tmp_path / "maps.zarr"
        region(store, PLANTS, out=out, scheduler=scheduler, progress=kill_one)
        assert maps(out) == truth
    finally:
        for part in parts:
            part.kill()
            part.wait()
