"""How a grid is cut into blocks: for the work, for the store, and within memory."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

from climrisk.core.references import field
from climrisk.pot.kernel.simd_layout import LANES
from climrisk.regions.blocks import Block
from climrisk.regions.cells import TAIL_H, lead_h
from climrisk.regions.job import RegionJob
from climrisk.weather.grids.file import Grid

#: Bytes of hours and nights that one worker may hold; what it computes with comes on
#: top, some 40 MB.
WORKER_BYTES = 64_000_000
#: Decoding a stored value, and working on a cell's hour (ns; measured, they only weigh
#: one against the other).
_DECODE_NS, _WORK_NS = 4.0, 43.0
#: Bytes of a cell's night: lowest, highest and unknown of air and root zone.
_NIGHT_BYTES = 26
#: From this many readings of the same values on, a copy in another order pays.
_AGAIN = 3.0
_WINDOWS_H = (366 * 24, 183 * 24, 92 * 24, 61 * 24, 1000, 600)


@dataclass(frozen=True)
class Plan:
    """Blocks of a grid.

    Parameters
    ----------
    blocks : tuple of Block
    readings : float
        How often each stored value is decoded.
    stored_bytes : int
        Of the input, decoded.
    """

    blocks: tuple[Block, ...]
    readings: float
    stored_bytes: int

    @property
    def advice(self) -> str:
        """What a copy in another order would bring; "" where it would bring little."""
        if self.readings < _AGAIN:
            return ""
        return (
            f"the store is cut so that every value is read {self.readings:.0f} times: "
            f"{field('rechunk')} first writes a copy cut by cells (up to "
            f"{self.stored_bytes / 1e9:.1f} GB beside the output, removed afterwards)"
        )


@dataclass(frozen=True)
class _Cut:
    rows: int
    columns: int
    window_h: int
    readings: float
    cost: float


def plan(job: RegionJob, *, budget: int = WORKER_BYTES, workers: int = 1) -> Plan:
    """Return the blocks of a job.

    Of the ways to cut that fit into a worker's memory, the one is taken that costs
    least: decoding what is read again and again, work on hours that overlap, and the
    trouble of small blocks.

    Parameters
    ----------
    job : RegionJob
    budget : int
        Bytes of hours and nights a worker may hold.
    workers : int
        Blocks should be enough for all to be busy.
    """
    grid = job.grid()
    best = min(_cuts(job, grid, budget, workers), key=lambda cut: cut.cost)
    blocks: list[Block] = []
    rows, columns = len(grid.latitude), len(grid.longitude)
    for y in range(0, rows, best.rows):
        for x in range(0, columns, best.columns):
            box = (y, min(y + best.rows, rows), x, min(x + best.columns, columns))
            blocks.append(Block(len(blocks), box, best.window_h))
    stored = sum(v.itemsize for v in grid.variables.values())
    total = stored * rows * columns * len(grid.time)
    return Plan(tuple(blocks), best.readings, total)


def _cuts(job: RegionJob, grid: Grid, budget: int, workers: int) -> list[_Cut]:
    hours, over = len(grid.time), lead_h(job) + TAIL_H
    ct, cy, cx = grid.variables["air_temp_c"].chunk
    ny, nx = len(grid.latitude), len(grid.longitude)
    variables = len(grid.variables)
    windows = [w for w in (hours, *_WINDOWS_H) if w <= hours]
    out = []
    least = None
    for rows, columns, window in product(_sides(cy, ny), _sides(cx, nx), windows):
        cells = rows * columns
        held = window if window == hours else window + over
        memory = cells * (held * 4 * (variables + 1) + hours / 24 * _NIGHT_BYTES)
        again = _touched(rows, cy, ny) * _touched(columns, cx, nx) / cells
        again *= max(1.0, _spans(held, ct, hours) / window)
        # Spare lanes of the kernel cost as much as cells.
        spare = -(-cells // LANES) * LANES / cells
        work = _WORK_NS * held / window * spare
        idle = max(1.0, 2 * workers * cells / (ny * nx))
        cut = _Cut(
            rows,
            columns,
            window,
            again,
            (_DECODE_NS * variables * again + work) * idle,
        )
        if memory <= budget:
            out.append(cut)
        if least is None or memory < least[0]:
            least = (memory, cut)
    assert least is not None
    return out or [least[1]]


def _sides(chunk: int, size: int) -> list[int]:
    """Return sides of blocks: whole chunks, or parts of one, never beyond the grid."""
    chunk = min(chunk, size)
    whole = [chunk * k for k in (1, 2, 3, 4, 6, 8, 12, 16, 24, 32, 48, 64, 128)]
    parts = [-(-chunk // k) for k in (2, 3, 4, 6, 8, 12, 16, 24, 32, 64)]
    fine = [s for s in whole if s < size + chunk]
    return sorted({min(s, size) for s in fine + parts})


def _touched(side: int, chunk: int, size: int) -> float:
    """Return how many rows of chunks must be decoded for a side of a block."""
    return min(-(-side // chunk) * chunk, size) if side % chunk == 0 else min(
        (side // chunk + 1) * chunk, size
    )  # fmt: skip


def _spans(held: int, chunk: int, hours: int) -> float:
    """Return how many hours are decoded for a window."""
    if held >= hours:
        return hours
    return min(-(-held // chunk) * chunk + (chunk if chunk > 1 else 0) / 2, hours)
