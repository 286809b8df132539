"""Our durable archive: one file per station and UTC year.

A file is written beside its place, flushed and renamed, so that a reader finds the old
or the new one and never half of it. A failure never touches it, and a file with fewer
known hours never replaces one with more. What the network said when it gave nothing
better stands beside it (``.asked``), so that it is not asked again at once and an
absence is still known as such without a network.
"""

from __future__ import annotations

import contextlib
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from climrisk.core.atomic_files import private_folder, remove_leftovers, replace_file
from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.core.paths import data_folder, is_folder
from climrisk.core.references import field
from climrisk.weather.stations.archive_file import (
    DamagedFileError,
    StationYear,
    days_since,
    decoded,
    encoded,
)

_LOCK_S = 600.0
_YEAR_FILE = re.compile(r"[0-9]{1,4}\.(climrisk|damaged)")


@dataclass(frozen=True)
class NetworkAnswer:
    """What the network said of a station-year when it gave nothing to keep.

    Parameters
    ----------
    answer : {"no file", "no temperatures", "fewer hours"}
    when : str
        UTC time in ISO format.
    """

    answer: str
    when: str

    def age_days(self, now: datetime) -> float:
        """Return the days since it was asked."""
        return days_since(self.when, now)

    @property
    def is_absence(self) -> bool:
        """Whether the network has no temperatures of this year at all."""
        return self.answer in ("no file", "no temperatures")


class Archive:
    """The archive in a folder.

    Parameters
    ----------
    folder : Path, optional
        ``archive`` in the user's data folder where not given.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder or data_folder() / "archive"
        #: What was set aside while reading.
        self.notes: list[str] = []
        self._alone = False

    @contextmanager
    def locked(self) -> Iterator[None]:
        """Hold the archive against other processes; see `held`."""
        with held(self.folder, ".lock") as alone:
            self._alone = alone
            try:
                yield
            finally:
                self._alone = False

    def path(self, station: str, year: int) -> Path:
        """Return the place of a station-year."""
        safe = "".join(c if c.isalnum() or c in "-_" else "_" for c in station)
        return self.folder / safe / f"{year}.climrisk"

    def read(self, station: str, year: int) -> StationYear | None:
        """Return a station-year, or None where there is none.

        What is damaged, or cannot be read, is set aside under the ending ``.damaged``
        where the archive can be written, named in `notes`, and counts as none.
        """
        path = self.path(station, year)
        try:
            found = decoded(path.read_bytes())
            if (found.station, found.year) != (station, year):
                raise DamagedFileError
            return found
        except FileNotFoundError:
            return None
        except DamagedFileError:
            self._set_aside(path, f"{year}: the archived file was damaged")
        except OSError as error:
            why = error.strerror or type(error).__name__
            self._set_aside(path, f"{year}: the archived file cannot be read ({why})")
        return None

    def _set_aside(self, path: Path, note: str) -> None:
        aside = path.with_suffix(".damaged")
        with contextlib.suppress(OSError):
            path.replace(aside)
            note += f" and is set aside as {aside}"
        self.notes.append(note)

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
            self.write_answer(new.station, new.year, "fewer hours")
            return old
        stamped = new if new.fetched else replace(new, fetched=_now())
        path = self.path(new.station, new.year)
        self._replace(path, encoded(stamped))
        with contextlib.suppress(OSError):
            path.with_suffix(".asked").unlink(missing_ok=True)
        return stamped

    def last_answer(self, station: str, year: int) -> NetworkAnswer | None:
        """Return what the network last said, if it gave nothing better than is kept."""
        path = self.path(station, year).with_suffix(".asked")
        try:
            document = json.loads(path.read_bytes())
            one = NetworkAnswer(str(document["answer"]), str(document["when"]))
            one.age_days(datetime.now(UTC))
        except (OSError, ValueError, KeyError, TypeError, RecursionError):
            return None
        return one

    def write_answer(
        self, station: str, year: int, answer: str, when: str | None = None
    ) -> None:
        """Keep what the network said; `when` is now where not given."""
        document = {"answer": answer, "when": when or _now()}
        path = self.path(station, year).with_suffix(".asked")
        self._replace(path, json.dumps(document).encode())

    def listing(self) -> list[dict[str, Any]]:
        """Return what the archive holds: station, year, hours, bytes, state.

        Every file is read and its checksum taken; `state` is good, damaged, unreadable,
        or set aside for one that was found damaged before.
        """
        if not is_folder(self.folder):
            return []
        files = sorted(self.folder.glob("*/*"))
        return [_row(path) for path in files if _YEAR_FILE.fullmatch(path.name)]

    def remove(self, station: str) -> int:
        """Remove a station from the archive and return how many years' files went.

        Raises
        ------
        InputError
            A file cannot be removed.
        """
        folder = self.path(station, 0).parent
        if folder == self.folder:  # a name without a letter
            return 0
        gone = 0
        try:
            for path in folder.glob("*"):
                if path.is_symlink() or not path.is_dir():
                    path.unlink()
                    gone += path.suffix in (".climrisk", ".damaged")
        except OSError as error:
            raise InputError(
                "cannot remove this station",
                where=field("remove"),
                value=f"{path} ({error.strerror})",
                allowed="an archive that can be written",
            ) from error
        with contextlib.suppress(OSError):  # something else is in it
            folder.rmdir()
        return gone

    def _replace(self, path: Path, data: bytes) -> None:
        """Put data in place of a file, in one step that a crash cannot halve."""
        private_folder(path.parent)
        replace_file(path, data, private=True, locked=self._alone)
        remove_leftovers(path.parent, ".new-*")


def _row(path: Path) -> dict[str, Any]:
    """Return what one file of the archive is."""
    row: dict[str, Any] = {
        "station": path.parent.name,
        "year": int(path.stem),
        "bytes": 0,
        "hours": None,
        "fetched": None,
    }
    try:
        row["bytes"] = path.stat().st_size
        if path.suffix == ".damaged":
            return {**row, "state": "set aside"}
        one = decoded(path.read_bytes())
    except DamagedFileError:
        return {**row, "state": "damaged"}
    except OSError:
        return {**row, "state": "unreadable"}
    return row | {"hours": one.known_hours, "fetched": one.fetched, "state": "good"}


@contextmanager
def held(folder: Path, name: str) -> Iterator[bool]:
    """Make a folder and hold it against other processes by a lock file.

    Where a folder is there but takes no lock, because it is read-only or its disk is
    full, the work goes on without one: files are replaced whole, so that reading is
    safe, and each write reports its own failure. Gives whether it is held.

    Raises
    ------
    WeatherUnavailableError
        Another process held it for ten minutes.
    InputError
        The folder is not there and cannot be made.
    """
    from filelock import FileLock, Timeout

    lock = FileLock(folder / name, timeout=_LOCK_S, mode=0o600)
    try:
        private_folder(folder)
        lock.acquire()
    except Timeout as error:
        raise WeatherUnavailableError(
            "another climrisk process is using the archive",
            where=str(folder),
            next_step="wait for it to end, or end it, and try again",
        ) from error
    except (OSError, NotImplementedError) as error:
        if not is_folder(folder):
            raise _unusable(folder, error) from error
        yield False
        return
    try:
        yield True
    finally:
        lock.release()


def _unusable(folder: Path, error: Exception) -> InputError:
    why = getattr(error, "strerror", None) or type(error).__name__
    return InputError(
        "the data folder cannot be used",
        where="CLIMRISK_DATA",
        value=f"{folder} ({why})",
        next_step="set CLIMRISK_DATA to a folder that can be written",
    )


def _now() -> str:
    return datetime.now(UTC).isoformat(timespec="seconds")
