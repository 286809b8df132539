"""One file of the archive: the hours of a station in a UTC year, and its checksum.

A file is a line of JSON (station, year, fetch time, credit, sources, checksum) and a
compressed block of arrays.
"""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float

Flags = NDArray[np.int8]

_FORMAT = "climrisk station-year 1"


@dataclass(frozen=True)
class StationYear:
    """The hours of one station in one UTC year, as the archive gave them.

    Parameters
    ----------
    station : str
    year : int
    columns : dict of str to ndarray, shape (hour,)
        All hours of the year in order; °C, %, km/h and oktas as delivered, NaN unknown.
    sources : tuple of str
        Names of the providers, by number.
    flags : dict of str to ndarray of int8, shape (hour,)
        Number of the provider of each hour, by column; -1 where unknown.
    credit : str
    fetched : str
        UTC time in ISO format.
    """

    station: str
    year: int
    columns: dict[str, Float]
    sources: tuple[str, ...]
    flags: dict[str, Flags]
    credit: str
    fetched: str = field(default="")

    @property
    def known_hours(self) -> int:
        """Hours with a temperature."""
        temps = self.columns.get("temp")
        return 0 if temps is None else int(np.isfinite(temps).sum())

    def age_days(self, now: datetime) -> float:
        """Return the days since it was fetched."""
        return days_since(self.fetched, now)


class DamagedFileError(Exception):
    """A file of the archive that does not pass its checksum."""


def days_since(since: str, now: datetime) -> float:
    """Return the days from an ISO time to now."""
    return (now - datetime.fromisoformat(since)).total_seconds() / 86_400


def encoded(one: StationYear) -> bytes:
    """Return the file of a station-year."""
    block = io.BytesIO()
    arrays: dict[str, Any] = {f"flag_{k}": v for k, v in one.flags.items()}
    arrays |= one.columns
    np.savez_compressed(block, **arrays)
    body = block.getvalue()
    head = {
        "format": _FORMAT,
        "station": one.station,
        "year": one.year,
        "sources": list(one.sources),
        "credit": one.credit,
        "fetched": one.fetched,
    }
    line = json.dumps({**head, "sha256": _seal(head, body)}, sort_keys=True)
    return line.encode() + b"\n" + body


def _seal(head: dict[str, Any], body: bytes) -> str:
    header = json.dumps(head, sort_keys=True).encode()
    return hashlib.sha256(header + body).hexdigest()


def decoded(data: bytes) -> StationYear:
    """Return the station-year of a file.

    Raises
    ------
    DamagedFileError
        The file is not what was written.
    """
    try:
        line, body = data.split(b"\n", 1)
        head = json.loads(line)
        if head.pop("sha256") != _seal(head, body) or head["format"] != _FORMAT:
            raise DamagedFileError
        with np.load(io.BytesIO(body)) as block:
            arrays = {k: block[k] for k in block.files}
        one = StationYear(
            head["station"],
            int(head["year"]),
            {k: v for k, v in arrays.items() if not k.startswith("flag_")},
            tuple(head["sources"]),
            {k[5:]: v for k, v in arrays.items() if k.startswith("flag_")},
            head["credit"],
            head["fetched"],
        )
        one.age_days(datetime.now(UTC))
    except (
        *(ValueError, KeyError, TypeError, AttributeError, EOFError, OSError),
        # Brackets without end, and what zipfile makes of strange flags.
        *(RecursionError, RuntimeError, zipfile.BadZipFile),
    ) as error:
        raise DamagedFileError from error
    if any(v.shape != (hours_in(one.year),) for v in arrays.values()):
        raise DamagedFileError
    return one


def hours_in(year: int) -> int:
    """Return the hours of a calendar year."""
    leap = (year % 4 == 0 and year % 100 != 0) or year % 400 == 0
    return 8784 if leap else 8760
