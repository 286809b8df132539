"""Damage logger files at random: each ends in a series or in one clear error.

Run as a script it takes how many files to damage:
``python -m tests.fuzz_logger 100000``.
"""

from __future__ import annotations

import itertools
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

from climrisk.weather.files import read_weather
from climrisk.weather.series import Place
from tests import damage
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
_CLOCKS = (None, "local", "standard", "utc")


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


def fuzz(count: int, seed: int) -> damage.Tally:
    """Damage so many files."""
    clocks = itertools.cycle(_CLOCKS)

    def read(path: Path) -> None:
        weather = read_weather(path, place=HERE, clock=next(clocks))
        if not np.isfinite(weather.air_temp_c).any():
            raise AssertionError("a series without one reading")

    with tempfile.TemporaryDirectory() as folder:
        return damage.fuzz(seeds(Path(folder)), read, count, seed)


def main() -> int:
    """Run from a shell."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else int(time.time())
    tally = fuzz(count, seed)
    print(f"seed {seed}: {tally}")
    for fault in tally.faults[:20]:
        print("  " + fault)
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
