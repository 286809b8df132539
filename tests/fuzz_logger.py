"""Damage logger files at random: each ends in a series or in one clear error.

Run as a script it takes how many files to damage, and for how long:
``python -m tests.fuzz_logger 100000``.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from climrisk.errors import InputError
from climrisk.weather.files import read_weather
from climrisk.weather.series import Place
from tests.logger_shapes import SHAPES, ZONE, truth

HERE = Place("here", 45.8, 15.9, 120.0, ZONE)
SEEDS = (
    "comma and ISO dates",
    "semicolon, decimal comma",
    "columns set apart by spaces",
    "12 h, month first",
    "ISO with its offset",
    "Unix seconds",
    "compact date and time apart",
    "UTF-16",
    "two sensors, one chosen",
    "names of months",
)
#: No file may take longer, or the process more room.
MOST_SECONDS, MOST_BYTES = 10.0, 1_000_000_000
_WORDS = [
    *(b"", b",", b";", b"\t", b"\n", b"\r\n", b'"', b"\x00", b"\xff", b"-", b"."),
    *(b"NaN", b"inf", b"1e308", b"99999999999999999999", b"-99", b"\xc2\xb0F", b"AM"),
    *(b"24:00", b"2021-02-30", b"31.12.9999", b"0000-00-00", b"+25:61", b"=1+1"),
]


@dataclass
class Tally:
    """What became of the damaged files."""

    files: int = 0
    read: int = 0
    refused: int = 0
    slowest_s: float = 0.0
    faults: list[str] = field(default_factory=list)

    def __str__(self) -> str:
        used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        return (
            f"{self.files:,} files: {self.read:,} read, {self.refused:,} refused, "
            f"slowest {self.slowest_s:.2f} s, {used:.2f} GB at most, "
            f"{len(self.faults)} faults"
        )


def seeds(folder: Path) -> list[bytes]:
    """Return the bytes of ten files of different shapes, shortened to three weeks."""
    series = truth()[: 24 * 21]
    out = []
    for shape in SHAPES:
        if shape.name in SEEDS:
            path = folder / "seed.txt"
            shape.write(path, series.copy())
            out.append(path.read_bytes())
    assert len(out) == len(SEEDS)
    return out


def damaged(data: bytes, rng: np.random.Generator) -> bytes:
    """Return bytes with one to eight random changes."""
    out = bytearray(data)
    for _ in range(int(rng.integers(1, 9))):
        at = int(rng.integers(0, len(out) + 1))
        length = int(rng.integers(0, 40))
        kind = int(rng.integers(0, 7))
        word = _WORDS[int(rng.integers(0, len(_WORDS)))]
        if kind == 0:
            out[at : at + 1] = bytes([int(rng.integers(0, 256))])
        elif kind == 1:
            del out[at : at + length]
        elif kind == 2:
            out[at:at] = word
        elif kind == 3:
            out[at : at + length] = word
        elif kind == 4:
            other = int(rng.integers(0, len(out) + 1))
            out[at:at] = out[other : other + length]
        elif kind == 5:
            del out[at:]
        else:
            # The head decides most: damage it more often.
            near = int(rng.integers(0, min(len(out), 120) + 1))
            out[near : near + int(rng.integers(0, 6))] = word
        if not out:
            break
    return bytes(out)


def fuzz(count: int, seconds: float, seed: int) -> Tally:
    """Damage files until there were enough, or the time is over."""
    rng = np.random.default_rng(seed)
    tally = Tally()
    stop = time.monotonic() + seconds
    clocks = (None, "local", "standard", "utc")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        kinds = seeds(folder)
        path = folder / "damaged.txt"
        while tally.files < count and time.monotonic() < stop:
            data = damaged(kinds[int(rng.integers(0, len(kinds)))], rng)
            path.write_bytes(data)
            clock = clocks[int(rng.integers(0, 4))]
            _try(path, data, clock, tally)
    return tally


def _try(path: Path, data: bytes, clock: str | None, tally: Tally) -> None:
    tally.files += 1
    began = time.monotonic()
    try:
        weather = read_weather(path, place=HERE, clock=clock)
        tally.read += 1
        if not np.isfinite(weather.air_temp_c).any():
            tally.faults.append("a series without one reading")
    except InputError as error:
        tally.refused += 1
        if "\n" in error.line() or len(error.line()) > 2000:
            tally.faults.append(f"not one line: {error.line()[:200]}")
    except MemoryError:
        raise
    except Exception as fault:
        keep = Path(tempfile.gettempdir()) / f"climrisk-fuzz-{len(tally.faults)}.txt"
        keep.write_bytes(data)
        tally.faults.append(f"{type(fault).__name__}: {fault} ({keep}, clock {clock})")
    took = time.monotonic() - began
    tally.slowest_s = max(tally.slowest_s, took)
    if took > MOST_SECONDS:
        tally.faults.append(f"{took:.1f} s")


def main() -> int:
    """Run from a shell."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else int(time.time())
    tally = fuzz(count, seconds=1e9, seed=seed)
    print(f"seed {seed}: {tally}")
    for fault in tally.faults[:20]:
        print("  " + fault)
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
