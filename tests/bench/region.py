"""Print how fast maps are made, and how they stand to plain ways of the same.

    python -m tests.bench.region [--rows N] [--columns N] [--keep FOLDER]

All ratios come from one run. Wall seconds need a quiet machine; processor seconds are
printed beside them, because they bear neighbors better. The largest store takes some
10 GB of disk.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import xarray as xr

from climrisk.commands.api import region_dataset
from climrisk.core.chunked import single_threaded
from climrisk.exposure.hours import expose
from climrisk.physics.solar import Places, SunPath
from climrisk.plants.registry import find
from climrisk.pot.model import reference_pot
from climrisk.pot.root_zone import root_zone
from climrisk.regions.blocks import maps_of, run_block
from climrisk.regions.cells import grouped, part_of, record_of
from climrisk.regions.job import RegionJob, job_plants
from climrisk.regions.plan import plan
from climrisk.regions.workers import Workers
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.grids.read import Held, read_raw
from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from examples.made_region import write
from tests.asking import region
from tests.bench.timing import say

#: Four variables, as the goal is stated.
FOUR = ("t2m", "d2m", "tcc", "ssrd")
HOURS = 8760


def job_of(path: Path) -> RegionJob:
    return RegionJob(
        (str(path),), (), job_plants([find("Masdevallia")], "established"),
        "established", spot_kind("roofed-balcony"), reference_pot(), "screening",
        0.1, 0.2,
    )  # fmt: skip


def run(path: Path, *options: str) -> tuple[float, float, float]:
    """Return wall seconds, processor seconds and peak megabytes of a command."""
    with tempfile.TemporaryDirectory() as folder:
        words = [sys.executable, "-m", "climrisk", "region", str(path), "--plant"]
        words += ["Masdevallia", "--out", f"{folder}/m.nc", "--json", *options]
        start = time.perf_counter()
        child = subprocess.Popen(
            words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
        )
        peak = 0.0
        while child.poll() is None:
            peak = max(peak, tree_megabytes(child.pid))
            time.sleep(0.05)
        wall = time.perf_counter() - start
        if child.returncode:
            sys.exit(child.stderr.read() if child.stderr else "failed")
    return wall, children_seconds(), peak


_BEFORE = [0.0]


def children_seconds() -> float:
    """Return processor seconds of the children that ended since the last call."""
    now = os.times()
    total = now.children_user + now.children_system
    spent, _BEFORE[0] = total - _BEFORE[0], total
    return spent


def tree_megabytes(pid: int) -> float:
    """Return the resident memory of a process and all below it."""
    total = 0.0
    for folder in Path("/proc").iterdir():
        name = folder.name
        if not name.isdigit():
            continue
        try:
            stat = (folder / "stat").read_text().rsplit(")", 1)[1].split()
            pages = int((folder / "statm").read_text().split()[1])
        except (OSError, IndexError):
            continue
        if int(name) == pid or _below(int(stat[1]), pid):
            total += pages * os.sysconf("SC_PAGE_SIZE") / 1e6
    return total


def _below(parent: int, pid: int) -> bool:
    while parent > 1:
        if parent == pid:
            return True
        try:
            text = Path(f"/proc/{parent}/stat").read_text()
        except OSError:
            return False
        parent = int(text.rsplit(")", 1)[1].split()[1])
    return False


def shares(path: Path) -> None:
    """Print where a block's time goes, one thread."""
    job = job_of(path)
    grid, blocks = job.grid(), plan(job, workers=2).blocks
    block = blocks[len(blocks) // 3]  # inside, of one standard time
    n = block.cells * len(grid.time)
    cpu = time.process_time

    def spent(call: Callable[[], Any]) -> float:
        call()
        start = cpu()
        call()
        return (cpu() - start) / n * 1e9

    parts = [(v.parts[0], name) for name, v in grid.variables.items()]

    def decode() -> None:
        for part, _ in parts:
            read_raw(grid, part, 0, len(grid.time), block.box)

    hours = len(grid.time)
    held = Held(grid, 0, hours, block.box)

    def units() -> None:
        for first in range(0, hours, 720):
            held.values(first, min(first + 720, hours))

    Workers(threads=1).begin()  # as the command does
    with single_threaded():
        raw, read = spent(decode), spent(units)
        whole = spent(lambda: run_block(job, block))
    say("a block on one thread, processor time", whole, "ns per cell-hour")
    say("  of which reading and decompression", 100 * raw / whole, "%")
    say("  of which units and checks", 100 * read / whole, "%")
    rest = whole - raw - read
    say("  of which spot, pot, exposure, dates", 100 * rest / whole, "%")


def by_xarray(path: Path) -> float:
    """Return seconds of the same cells through xarray.map_blocks on dask threads."""
    data = xr.open_zarr(path, consolidated=False, chunks={})
    data = data.chunk({"time": -1})
    start = time.perf_counter()
    region_dataset(data, ["Masdevallia"], spot="roofed-balcony").compute(
        scheduler="threads"
    )
    return time.perf_counter() - start


def by_apply_ufunc(path: Path, *, arrays_only: bool) -> float:
    """Return seconds of apply_ufunc on dask threads, a call a chunk.

    Either all of ours is called on the chunk, or what one writes by hand: the spot in
    arrays, the pot's kernel, the exposure pass.
    """
    job = job_of(path)
    names = {"t2m": "air_temp_c", "d2m": "dew_point_c", "tcc": "cloud_cover_frac",
             "ssrd": "ghi_w_m2"}  # fmt: skip
    data = xr.open_zarr(path, consolidated=False, chunks={}).chunk({"time": -1})
    grid = job.grid()
    hours = len(grid.time)
    record = record_of(grid.label, str(grid.time[0]), hours)

    def cells(lat: Any, lon: Any, *values: Any) -> Any:
        # Core dimension last, as apply_ufunc hands it over.
        shape = values[0].shape[:-1]
        flat = {
            ours: np.ascontiguousarray(v.reshape(-1, v.shape[-1]).T)
            for ours, v in zip(names.values(), values, strict=True)
        }
        for ours in ("air_temp_c", "dew_point_c"):
            flat[ours] = flat[ours] - np.float32(273.15)
        latitude = np.broadcast_to(lat, shape).ravel()
        longitude = np.broadcast_to(lon, shape).ravel()
        if arrays_only:
            return by_hand(job, record, (latitude, longitude), flat).reshape(shape)
        whole = [((0, hours), (0, hours), part_of(flat))]
        maps = maps_of(job, record, (latitude, longitude), whole)
        out = maps["hours_below_preferred"][0]
        return out.reshape(shape)

    arrays = [data[n] for n in names]
    axes = [
        data[n].astype(float).chunk({n: data.chunksizes[n]})
        for n in ("latitude", "longitude")
    ]
    maps = xr.apply_ufunc(
        cells,
        *axes,
        *arrays,
        input_core_dims=[[], [], *[["time"]] * len(arrays)],
        dask="parallelized",
        output_dtypes=[np.float32],
    )  # fmt: skip
    start = time.perf_counter()
    maps.compute(scheduler="threads")
    return time.perf_counter() - start


def by_hand(
    job: RegionJob, record: Any, places: tuple[Any, Any], values: dict[str, Any]
) -> np.ndarray:
    """Return hours below preferred of cells whose whole year is in memory."""
    out = np.empty(len(places[0]), np.float32)
    for group in grouped(*places):
        lat, lon = (x[group.cells] for x in places)
        mine = {k: np.ascontiguousarray(v[:, group.cells]) for k, v in values.items()}
        origin = np.broadcast_to(np.uint8(Origin.MODELED), mine["air_temp_c"].shape)
        place = Place("cells", float(lat[0]), float(lon[0]), None, group.zone)
        source = Source("grid", "", "", "station")
        weather = WeatherSeries(record.time, mine, origin, place, source)
        sun = SunPath.seen_from(record.toward, Places(lat, lon))
        with single_threaded():
            made = prepare(weather, ensemble(1), sun=sun)
            climate = spot_climate(made, job.spot, only_pot=True)
            limits = job.thresholds
            air = expose(climate.air_c, made.seasons, made.dark, limits)
            root = root_zone(climate, job.pot)
            expose(root.mean_c, made.seasons, made.dark, limits)
        k = int(np.searchsorted(limits, job.plants[0].preferred_c))
        out[group.cells] = air.total_hours[k]
    return out


def by_plain_xarray(path: Path, below_c: float) -> float:
    """Return seconds of hours below, by month, of the raw air by plain xarray."""
    air = xr.open_zarr(path, consolidated=False, chunks={})["t2m"]
    cold = air < below_c + 273.15
    start = time.perf_counter()
    cold.groupby("time.month").sum().compute(scheduler="threads")
    return time.perf_counter() - start


def by_index_library(path: Path, below_c: float) -> float | None:
    """Return seconds of the longest cold run by a climate-index library."""
    try:
        from xclim.indices import run_length
    except ImportError:
        return None
    air = xr.open_zarr(path, consolidated=False, chunks={})["t2m"]
    cold = (air < below_c + 273.15).chunk({"time": -1})
    start = time.perf_counter()
    run_length.longest_run(cold, dim="time").compute(scheduler="threads")
    cold.groupby("time.month").sum().compute(scheduler="threads")
    return time.perf_counter() - start


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--rows", type=int, default=200)
    parser.add_argument("--columns", type=int, default=200)
    parser.add_argument("--keep", type=Path)
    args = parser.parse_args()
    folder = args.keep or Path(tempfile.mkdtemp())
    folder.mkdir(parents=True, exist_ok=True)
    path = stored(folder, args.rows, args.columns)
    n = args.rows * args.columns * HOURS
    children_seconds()
    for label, options in (
        ("1 thread", ("--threads", "1")),
        ("2 threads", ("--threads", "2")),
        ("1 worker process", ("--workers", "1")),
        ("2 worker processes", ("--workers", "2")),
    ):
        wall, cpu, peak = run(path, *options)
        goal = ">= 60, <= 600 MB" if label == "2 threads" else ""
        say(f"region, {label}", n / wall / 1e6, "M cell-hours/s", goal)
        say("  processor time", cpu / n * 1e9, "ns per cell-hour")
        say("  peak memory, all processes", peak, "MB")
    shares(path)
    ours, ours_cpu = here(path, 2)
    say("region, warm process, 2 threads", n / ours / 1e6, "M cell-hours/s", ">= 60")
    say("  processor time", ours_cpu / n * 1e9, "ns per cell-hour")
    for label, call in (
        (
            "plain apply_ufunc on dask, same kernel",
            lambda: by_apply_ufunc(path, arrays_only=True),
        ),
        (
            "all of ours in apply_ufunc on dask",
            lambda: by_apply_ufunc(path, arrays_only=False),
        ),
        ("xarray.map_blocks on dask threads", lambda: by_xarray(path)),
        ("plain xarray, raw air, hours by month", lambda: by_plain_xarray(path, 9.0)),
        ("climate-index library, raw air, runs", lambda: by_index_library(path, 9.0)),
    ):
        cpu = time.process_time()
        took = call()
        if took is None:
            print(f"{label}: not installed (pip install xclim)")
            continue
        say(label, took / ours, "times ours", ">= 2" if "plain apply" in label else "")
        say("  processor time", (time.process_time() - cpu) / ours_cpu, "times ours")
    flat(folder)


def here(path: Path, threads: int) -> tuple[float, float]:
    """Return wall and processor seconds of maps made in this process, warmed up."""
    with tempfile.TemporaryDirectory() as folder:
        start, cpu = time.perf_counter(), time.process_time()
        region(path, ["Masdevallia"], out=f"{folder}/m.nc", threads=threads)
        return time.perf_counter() - start, time.process_time() - cpu


def flat(folder: Path) -> None:
    """Print the cost of a cell on smaller and larger maps of a year."""
    base = None
    for side in (100, 200, 400):
        path = stored(folder, side, side)
        cost = min(here(path, 2)[1] for _ in range(2)) / side**2 * 1e6
        base = base or cost
        say(f"cost of a cell, {side**2:,} cells", cost, "µs processor time")
        say("  against the smallest map", cost / base, "times", "flat: 0.9 to 1.1")
        say("  peak memory", run(path, "--threads", "2")[2], "MB", "<= 600")


def stored(folder: Path, rows: int, columns: int) -> Path:
    """Return the store of a year of some cells, made where it is not there."""
    path = folder / f"bench-{rows}x{columns}.zarr"
    if not path.exists():
        # Finer steps keep the largest map on its part of the Earth.
        write(path, rows=rows, columns=columns, hours=HOURS, chunk=(HOURS, 16, 16),
              only=FOUR, step=20.0 / max(200, rows, columns))  # fmt: skip
    return path


if __name__ == "__main__":
    main()
