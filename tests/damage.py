"""Files damaged at random: each must be read or refused, in time and in little room."""

from __future__ import annotations

import resource
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from climrisk.core.errors import ClimriskError, InputError

#: Seconds of processor time that no file may exceed.
MOST_SECONDS = 10.0
_WORDS = [
    *(b"", b",", b";", b"\t", b"\n", b"\r\n", b'"', b"\x00", b"\xff", b"-", b"."),
    *(b"NaN", b"inf", b"1e308", b"99999999999999999999", b"-99", b"\xc2\xb0F", b"AM"),
    *(b"24:00", b"2021-02-30", b"31.12.9999", b"0000-00-00", b"+25:61", b"=1+1"),
    *(b"[" * 3000, b"9" * 5000, b"\x1b[2J", "\u202e".encode(), b"1e400", b"0x10"),
]


@dataclass
class Tally:
    """What became of the damaged files."""

    files: int = 0
    read: int = 0
    refused: int = 0
    slowest_s: float = 0.0
    faults: list[str] = field(default_factory=list)

    def add(
        self,
        path: Path,
        data: bytes,
        read: Callable[[Path], object],
        refusal: type[ClimriskError] = InputError,
    ) -> None:
        """Have a file read, and keep one that brings the program down."""
        self.files += 1
        began = time.process_time()
        try:
            read(path)
            self.read += 1
        except refusal as error:
            self.refused += 1
            line = error.line()
            if len(line) > 500 or not line.isprintable():
                self.faults.append(f"not one short line: {line}")
        except MemoryError:
            raise
        except Exception as fault:
            keep = Path(tempfile.gettempdir()) / f"climrisk-{len(self.faults)}-"
            keep = keep.with_name(keep.name + path.name)
            keep.write_bytes(data)
            self.faults.append(f"{type(fault).__name__}: {fault} ({keep})")
        took = time.process_time() - began
        self.slowest_s = max(self.slowest_s, took)
        if took > MOST_SECONDS:
            self.faults.append(f"{took:.1f} s")

    def __str__(self) -> str:
        used = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e6
        return (
            f"{self.files:,} files: {self.read:,} read, {self.refused:,} refused, "
            f"slowest {self.slowest_s:.2f} s, {used:.2f} GB at most, "
            f"{len(self.faults)} faults"
        )


def damaged(data: bytes, rng: np.random.Generator) -> bytes:
    """Return bytes with one to eight random changes; in half of the cases one."""
    out = bytearray(data)
    for _ in range(min(8, int(rng.geometric(0.5)))):
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


def fuzz(
    seeds: Sequence[bytes],
    read: Callable[[Path], object],
    count: int,
    seed: int,
    name: str = "damaged.txt",
    refusal: type[ClimriskError] = InputError,
) -> Tally:
    """Damage files and have each read; `read` returns, or raises `refusal`."""
    rng = np.random.default_rng(seed)
    tally = Tally()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        while tally.files < count:
            data = damaged(seeds[int(rng.integers(0, len(seeds)))], rng)
            path.write_bytes(data)
            tally.add(path, data, read, refusal)
    return tally
