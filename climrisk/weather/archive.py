"""Our durable archive: one file per station and UTC year.

A file is a line of JSON (station, year, fetch time, credit, sources, checksum) and a
compressed block of arrays. It is written beside its place, flushed and renamed, so that
a reader finds the old or the new one and never half of it. A failure never touches it,
and a file with fewer known hours never replaces one with more.
"""

from __future__ import annotations

import hashlib
import io
import json
import os
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError
from climrisk.folders import data_folder

Float = NDArray[np.floating]

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
    flags : ndarray of int8, shape (hour,)
        Number of the provider of the temperature; -1 where unknown.
    credit : str
    fetched : str
        UTC time in ISO format.
    """

    station: str
    year: int
    columns: dict[str, Float]
    sources: tuple[str, ...]
    flags: NDArray[np.int8]
    credit: str
    fetched: str = field(default="")

    @property
    def known_hours(self) -> int:
        """Hours with a temperature."""
        temps = self.columns.get("temp")
        return 0 if temps is None else int(np.isfinite(temps).sum())

    def age_days(self, now: datetime) -> float:
        """Return the days since it was fetched."""
        return (now - datetime.fromisoformat(self.fetched)).total_seconds() / 86_400


class Damaged(Exception):  # noqa: N818 - a state of a file
    """A file of the archive that does not pass its checksum."""


class Archive:
    """The archive in a folder.

    Parameters
    ----------
    folder : Path, optional
        ``archive`` in the user's data folder where not given.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or data_folder() / "archive"

    @contextmanager
    def locked(self) -> Iterator[None]:
        """Hold the archive against other processes."""
        from filelock import FileLock

        self._make(self.folder)
        with FileLock(self.folder / ".lock", timeout=600):
            yield

    def path(self, station: str, year: int) -> Path:
        """Return the place of a station-year."""
        safe = "".join(c if c.isalnum() or c in "-_" else "_" for c in station)
        return self.folder / safe / f"{year}.climrisk"

    def read(self, station: str, year: int) -> StationYear | None:
        """Return a station-year, or None where there is none.

        A damaged file is set aside under the ending ``.damaged`` and counts as none.
        """
        path = self.path(station, year)
        if not path.exists():
            return None
        try:
            return _decoded(path.read_bytes())
        except Damaged:
            path.replace(path.with_suffix(".damaged"))
            return None

    def write(self, new: StationYear) -> StationYear:
        """Keep a station-year and return what the archive holds after.

        What is there with more known hours stays.

        Raises
        ------
        OSError
            The disk is full or cannot be written; what was there stays.
        """
        old = self.read(new.station, new.year)
        if old is not None and old.known_hours > new.known_hours:
            return old
        path = self.path(new.station, new.year)
        self._make(path.parent)
        stamped = _stamped(new)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".new-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(_encoded(stamped))
                file.flush()
                os.fsync(file.fileno())
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
        return stamped

    def listing(self) -> list[dict[str, Any]]:
        """Return what the archive holds: station, year, hours, bytes, state."""
        rows = []
        for path in sorted(self.folder.glob("*/*")):
            if path.suffix not in (".climrisk", ".damaged"):
                continue
            row: dict[str, Any] = {
                "station": path.parent.name,
                "year": int(path.stem),
                "bytes": path.stat().st_size,
                "hours": None,
                "fetched": None,
                "state": "damaged",
            }
            try:
                one = _decoded(path.read_bytes())
                row |= {"hours": one.known_hours, "fetched": one.fetched}
                row["state"] = "set aside" if path.suffix == ".damaged" else "good"
            except Damaged:
                pass
            rows.append(row)
        return rows

    def remove(self, station: str) -> int:
        """Remove a station from the archive and return how many files went."""
        folder = self.path(station, 0).parent
        gone = 0
        for path in folder.glob("*"):
            path.unlink()
            gone += 1
        if folder.is_dir():
            folder.rmdir()
        return gone

    def _make(self, folder: Path) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise InputError(
                "cannot make the archive's folder",
                where="CLIMRISK_DATA",
                value=folder,
                allowed="a folder that can be written",
            ) from error


def _stamped(one: StationYear) -> StationYear:
    from dataclasses import replace

    if one.fetched:
        return one
    return replace(one, fetched=datetime.now(UTC).isoformat(timespec="seconds"))


def _encoded(one: StationYear) -> bytes:
    block = io.BytesIO()
    np.savez_compressed(block, flags=one.flags, **one.columns)  # type: ignore[arg-type]
    body = block.getvalue()
    head = {
        "format": _FORMAT,
        "station": one.station,
        "year": one.year,
        "sources": list(one.sources),
        "credit": one.credit,
        "fetched": one.fetched,
    }
    seal = hashlib.sha256(json.dumps(head, sort_keys=True).encode() + body).hexdigest()
    line = json.dumps({**head, "sha256": seal}, sort_keys=True)
    return line.encode() + b"\n" + body


def _decoded(data: bytes) -> StationYear:
    try:
        line, body = data.split(b"\n", 1)
        head = json.loads(line)
        seal = head.pop("sha256")
        told = json.dumps(head, sort_keys=True).encode()
        if hashlib.sha256(told + body).hexdigest() != seal:
            raise Damaged
        with np.load(io.BytesIO(body)) as block:
            columns = {k: block[k] for k in block.files if k != "flags"}
            flags = block["flags"]
    except (ValueError, KeyError, AttributeError, OSError) as error:
        raise Damaged from error
    return StationYear(
        head["station"],
        head["year"],
        columns,
        tuple(head["sources"]),
        flags,
        head["credit"],
        head["fetched"],
    )
