"""Print how maps get faster with threads and with worker processes.

    python -m tests.bench.scale [--side N] [--few-side N] [--counts 1,2,4,8,16]
        [--only threads,workers,warm,warm-workers] [--keep FOLDER] [--json FILE]

Every line is one run of the command on an invented year with four variables, all in one
run of this script. Counts beyond the processors of the machine are left out. With
``--few-side`` up to four threads or workers have a smaller map, which spares minutes; a
cell-hour costs the same on both.
"""

from __future__ import annotations

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from contextlib import suppress
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

HOURS = 8760
FOUR = ("t2m", "d2m", "tcc", "ssrd")
CHUNK = 16
#: A worker counts as working once it has used so much of a processor.
_AT_WORK_S = 0.3
#: Measuring memory stops a process for a moment: once in so many looks.
_LOOKS_A_MEASURE = 8
_PLANT = "Masdevallia"


@dataclass
class Run:
    """One run of the command.

    Parameters
    ----------
    kind : str
        "threads" or "workers" of the command; "warm" or "warm-workers" of a process
        that has just made the same maps with as many.
    count : int
    cells : int
    wall_s, processor_s : float
    memory_mb : float
        Of all processes together, pages that they share counted once.
    worker_mb : float
        Resident memory of the largest worker process.
    working_s : float
        Until the last worker process was at work.
    """

    kind: str
    count: int
    cells: int
    wall_s: float
    processor_s: float
    memory_mb: float = 0.0
    worker_mb: float = 0.0
    working_s: float = 0.0

    @property
    def million_s(self) -> float:
        """Million cell-hours a second."""
        return self.cells * HOURS / self.wall_s / 1e6


@dataclass
class Watch:
    """What a command and the processes below it use, looked at again and again."""

    pid: int
    count: int
    start: float = field(default_factory=time.perf_counter)
    memory_mb: float = 0.0
    worker_mb: float = 0.0
    working_s: float = 0.0
    spent: dict[int, float] = field(default_factory=dict)
    looks: int = 0

    def look(self) -> None:
        """Look once."""
        below = _below(self.pid)
        for pid in (self.pid, *below):
            self.spent[pid] = max(self.spent.get(pid, 0.0), _processor_s(pid))
        busiest = sorted(below, key=lambda pid: -self.spent[pid])[: self.count]
        if len(busiest) < self.count or not self.count:
            busiest = []
        elif not self.working_s and self.spent[busiest[-1]] >= _AT_WORK_S:
            self.working_s = time.perf_counter() - self.start
        if self.looks % _LOOKS_A_MEASURE == 0:
            memory = {pid: _memory(pid) for pid in (self.pid, *below)}
            together = sum(own for own, _ in memory.values())
            self.memory_mb = max(self.memory_mb, together)
            resident = [memory[pid][1] for pid in busiest]
            self.worker_mb = max(self.worker_mb, *resident, 0.0)
        self.looks += 1


def _below(pid: int) -> list[int]:
    """Return the processes below one."""
    found, left = [], [pid]
    while left:
        one = left.pop()
        with suppress(OSError):
            for thread in Path(f"/proc/{one}/task").iterdir():
                children = (thread / "children").read_text().split()
                left += [int(c) for c in children]
                found += [int(c) for c in children]
    return found


def _memory(pid: int) -> tuple[float, float]:
    """Return a process's share of memory and its resident memory. [MB]"""
    said = {"Pss": 0.0, "Rss": 0.0}
    with suppress(OSError):
        for line in Path(f"/proc/{pid}/smaps_rollup").read_text().splitlines():
            name, _, rest = line.partition(":")
            if name in said:
                said[name] = float(rest.split()[0]) / 1e3
    return said["Pss"], said["Rss"]


def _processor_s(pid: int) -> float:
    with suppress(OSError, IndexError):
        stat = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
        return (int(stat[11]) + int(stat[12])) / os.sysconf("SC_CLK_TCK")
    return 0.0


def command(path: Path, kind: str, count: int, cells: int) -> Run:
    """Run the command and return what it took."""
    with tempfile.TemporaryDirectory() as folder:
        words = [sys.executable, "-m", "climrisk", "region", str(path), "--plant"]
        words += [_PLANT, "--spot", "roofed-balcony", "--out", f"{folder}/m.nc"]
        words += ["--json", f"--{kind}", str(count)]
        start = time.perf_counter()
        child = subprocess.Popen(
            words, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
        )
        watch = Watch(child.pid, count if kind == "workers" else 0)
        while child.poll() is None:
            watch.look()
            time.sleep(0.1)
        wall = time.perf_counter() - start
        if child.returncode:
            sys.exit(child.stderr.read() if child.stderr else "failed")
    # Of what ended between two looks the last moments are missed: some hundredths.
    spent = sum(watch.spent.values())
    return Run(
        kind, count, cells, wall, spent, watch.memory_mb, watch.worker_mb,
        watch.working_s,
    )  # fmt: skip


_WARM = """
import json, os, sys, tempfile, time
from tests.asking import region
path, plant, kind, counts = *sys.argv[1:4], json.loads(sys.argv[4])
with tempfile.TemporaryDirectory() as folder:
    for count in counts:
        for _ in range(2):
            start, cpu = time.perf_counter(), os.times()
            region(path, [plant], spot="roofed-balcony", out=f"{folder}/m.nc",
                   **{kind: count})
            wall = time.perf_counter() - start
        # The server that workers are forked from collects what they used.
        spent = sum(os.times()[:4]) - sum(cpu[:4]) if kind == "threads" else 0.0
        print(count, wall, spent)
"""


def warm(path: Path, counts: list[int], cells: int, name: str = "warm") -> list[Run]:
    """Make each map twice in one process, and return what the second took."""
    kind = "workers" if name == "warm-workers" else "threads"
    words = [sys.executable, "-c", _WARM, str(path), _PLANT, kind, json.dumps(counts)]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    rows = [line.split() for line in done.stdout.splitlines()]
    return [Run(name, int(n), cells, float(w), float(c)) for n, w, c in rows]


def store(folder: Path, side: int) -> Path:
    """Return an invented year of square maps, made on all processors where needed."""
    import zarr
    from zarr.codecs import BloscCodec

    from examples.made_region import ATTRS, axes, dataset

    path = folder / f"scale-{side}.zarr"
    if path.exists():
        return path
    step = 20.0 / max(200, side)
    frame = dataset(CHUNK, CHUNK, HOURS, step=step)
    latitude, longitude = axes(side, side, step)
    frame = frame.drop_vars(list(frame.data_vars)).drop_vars(["latitude", "longitude"])
    frame["latitude"] = ("latitude", latitude, {"units": "degrees_north"})
    frame["longitude"] = ("longitude", longitude, {"units": "degrees_east"})
    unfinished = path.with_suffix(".part")
    frame.to_zarr(unfinished, mode="w", consolidated=False, zarr_format=3)
    root = zarr.open_group(unfinished, mode="a")
    for name in FOUR:
        root.create_array(
            name, shape=(HOURS, side, side), chunks=(HOURS, CHUNK, CHUNK),
            dtype=np.float32, fill_value=np.nan, attributes=ATTRS[name],
            dimension_names=("time", "latitude", "longitude"),
            compressors=BloscCodec(cname="lz4", clevel=1, typesize=4),
        )  # fmt: skip
    rows = range(0, side, CHUNK)
    with ProcessPoolExecutor() as pool:
        list(pool.map(_fill, [str(unfinished)] * len(rows), rows, [side] * len(rows)))
    unfinished.rename(path)
    return path


def _fill(path: str, row: int, side: int) -> None:
    """Write a row of chunks of a store."""
    import zarr

    from examples.made_region import Invented, axes

    root, land = zarr.open_group(path, mode="r+"), Invented(HOURS)
    latitude, longitude = axes(side, side, 20.0 / max(200, side))
    rows = slice(row, min(row + CHUNK, side))
    for first in range(0, side, 4 * CHUNK):
        columns = slice(first, min(first + 4 * CHUNK, side))
        values = land.of(latitude[rows], longitude[columns])
        for name in FOUR:
            root[name][:, rows, columns] = values[name]


def table(runs: list[Run]) -> str:
    """Return runs as text."""
    one = {r.kind: r.million_s for r in runs if r.count == 1}
    lines = [
        "kind         count   cells     s   M cell-h/s  times one  ns of processor"
        "  MB all  MB a worker  s till all work"
    ]
    for r in runs:
        times = f"{r.million_s / one[r.kind]:.1f}" if r.kind in one else "-"
        cost = r.processor_s / (r.cells * HOURS) * 1e9
        lines.append(
            f"{r.kind:12} {r.count:5} {r.cells:7} {r.wall_s:5.1f} {r.million_s:12.1f} "
            f"{times:>10} {cost:16.0f} {r.memory_mb:7.0f} {r.worker_mb:12.0f} "
            f"{r.working_s:16.1f}"
        )
    return "\n".join(lines)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("--side", type=int, default=400)
    parser.add_argument("--few-side", type=int)
    parser.add_argument("--counts", default="1,2,4,8,16")
    parser.add_argument("--only", default="threads,workers,warm,warm-workers")
    parser.add_argument("--keep", type=Path)
    parser.add_argument("--json", type=Path)
    args = parser.parse_args()
    folder = args.keep or Path(tempfile.mkdtemp())
    folder.mkdir(parents=True, exist_ok=True)
    processors = os.cpu_count() or 1
    counts = [n for n in map(int, args.counts.split(",")) if n <= max(2, processors)]
    kinds: list[Any] = args.only.split(",")
    few = args.few_side or args.side
    print(f"{processors} processors", flush=True)
    runs: list[Run] = []

    def add(*more: Run) -> None:
        runs.extend(more)
        print(table(list(more)).split("\n", 1)[1], flush=True)
        if args.json:
            args.json.write_text(json.dumps([asdict(r) for r in runs]))

    first = command(store(folder, few), "threads", processors, few**2)
    print(f"the first map, compilation included where needed: {first.wall_s:.1f} s")
    for kind in kinds:
        for side, some in ((few, [n for n in counts if n <= 4]),
                           (args.side, [n for n in counts if n > 4])):  # fmt: skip
            if kind.startswith("warm"):
                if some:
                    add(*warm(store(folder, side), some, side**2, kind))
            else:
                for n in some:
                    add(command(store(folder, side), kind, n, side**2))
    print(table(runs))


if __name__ == "__main__":
    main()
