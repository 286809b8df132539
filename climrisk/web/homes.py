"""Several homes: which there are, which one is shown, and what is stored here."""

from __future__ import annotations

import io
import re
import shutil
import zipfile
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from climrisk.core.atomic_files import private_folder, replace_file
from climrisk.core.errors import InputError
from climrisk.core.paths import UPLOAD_PREFIX, cache_folder
from climrisk.home import read_home
from climrisk.home.write import undo_path

#: The key of the home that the page was started with.
FIRST = "first"
_KEY = re.compile(r"^[a-z0-9-]{1,40}$")
_COPY = re.compile(rf"^{UPLOAD_PREFIX}[0-9a-f]{{16}}-")


@dataclass(frozen=True)
class HomeEntry:
    """A home: its key, its file and its name."""

    key: str
    path: Path
    name: str


@dataclass(frozen=True)
class UploadedFile:
    """A file that was handed over: its key, its name, its size [byte] and its day."""

    key: str
    name: str
    size: int
    day: str


class Homes:
    """The homes of a page: the one it was started with, and those made beside it.

    Parameters
    ----------
    first : Path or None
        The home file that the page was started with; others lie in a folder
        ``climrisk-homes`` beside it. None where the page keeps no home.
    """

    def __init__(self, first: Path | None) -> None:
        self.first = first

    @property
    def current(self) -> Path | None:
        """The home that is shown, where there is one."""
        entries = self.listing()
        chosen = self._chosen()
        found = [e.path for e in entries if e.key == chosen] or [
            e.path for e in entries
        ]
        return found[0] if found else None

    @property
    def current_key(self) -> str:
        """The key of the home that is shown."""
        now = self.current
        return next((e.key for e in self.listing() if e.path == now), "")

    def listing(self) -> list[HomeEntry]:
        """Return all homes, the first one first."""
        if self.first is None:
            return []
        paths = [(FIRST, self.first)]
        if self._folder.is_dir():
            paths += [(p.stem, p) for p in sorted(self._folder.glob("*.toml"))]
        return [HomeEntry(key, p, _name(p)) for key, p in paths if p.is_file()]

    def choose(self, key: str) -> None:
        """Show another home from now on.

        Raises
        ------
        InputError
        """
        entry = self._entry(key)
        private_folder(self._folder)
        replace_file(self._folder / "current", entry.key.encode(), private=True)

    def new_path(self, name: str) -> Path:
        """Return where a new home goes: the first place while it is free."""
        if self.first is None:
            raise InputError("this page keeps no home", where="home")
        if not self.first.exists():
            return self.first
        plain = re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-")[:30] or "home"
        taken = {p.stem for p in self._folder.glob("*.toml")} | {FIRST}
        number = 1
        while (key := plain if number == 1 else f"{plain}-{number}") in taken:
            number += 1
        return self._folder / f"{key}.toml"

    def remove(self, key: str) -> str:
        """Delete a home's file and what stands beside it; return its name.

        Raises
        ------
        InputError
        """
        entry = self._entry(key)
        for path in (entry.path, undo_path(entry.path)):
            path.unlink(missing_ok=True)
        return entry.name

    def forget(self) -> None:
        """Remove the folder of further homes where nothing is left in it."""
        if self.first is not None:
            with suppress(OSError):
                (self._folder / "current").unlink(missing_ok=True)
                self._folder.rmdir()

    def key_of(self, path: Path) -> str:
        """Return the key of a home's file."""
        return FIRST if path == self.first else path.stem

    @property
    def _folder(self) -> Path:
        assert self.first is not None
        return self.first.parent / "climrisk-homes"

    def _chosen(self) -> str:
        if self.first is None:
            return FIRST
        try:
            key = (self._folder / "current").read_text("utf-8").strip()
        except (OSError, UnicodeDecodeError):
            return FIRST
        return key if _KEY.match(key) else FIRST

    def _entry(self, key: str) -> HomeEntry:
        found = [e for e in self.listing() if e.key == key]
        if not found:
            raise InputError("no such home here", where="home", value=key[:40])
        return found[0]


def _name(path: Path) -> str:
    try:
        return read_home(path).name
    except InputError:
        return f"{path.name} (cannot be read)"


def uploaded_files(folder: Path) -> list[UploadedFile]:
    """Return the files that were handed over, the latest first."""
    from datetime import datetime

    found = []
    with suppress(OSError):
        for place in folder.iterdir():
            for path in place.glob(f"{UPLOAD_PREFIX}*"):
                state = path.stat()
                name = path.name.removeprefix(f"{UPLOAD_PREFIX}{place.name}-")
                # The day by this machine's clock, as its owner would say it.
                day = datetime.fromtimestamp(state.st_mtime).astimezone()
                row = UploadedFile(
                    place.name, name, state.st_size, day.date().isoformat()
                )
                found.append((state.st_mtime, row))
    return [row for _, row in sorted(found, key=lambda one: -one[0])]


def remove_upload(folder: Path, key: str) -> str:
    """Delete a file that was handed over; return its name.

    Raises
    ------
    InputError
    """
    found = [f for f in uploaded_files(folder) if f.key == key]
    if not found:
        raise InputError("this file is not stored here", where="file", value=key[:40])
    shutil.rmtree(folder / key)
    return found[0].name


def exported(homes: Homes, logs: Path) -> bytes:
    """Return all homes and all files that were handed over, as a ZIP archive."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for entry in homes.listing():
            archive.write(entry.path, f"homes/{entry.key}.toml")
            for beside in _copies(entry.path.parent):
                if f"homes/{beside.name}" not in archive.namelist():
                    archive.write(beside, f"homes/{beside.name}")
        for one in uploaded_files(logs):
            path = next((logs / one.key).glob(f"{UPLOAD_PREFIX}*"))
            archive.write(path, f"files/{one.key[:6]}-{one.name}")
    return out.getvalue()


def remove_everything(homes: Homes, logs: Path) -> None:
    """Delete all homes, files and downloaded weather; what is not ours stays."""
    from climrisk.weather.stations.archive import Archive

    for entry in homes.listing():
        homes.remove(entry.key)
        for beside in _copies(entry.path.parent):
            beside.unlink(missing_ok=True)
    homes.forget()
    for folder in (logs, Archive().folder, cache_folder()):
        shutil.rmtree(folder, ignore_errors=True)


def _copies(folder: Path) -> list[Path]:
    """Return the copies of files handed over that lie beside a home."""
    return [p for p in sorted(folder.glob(f"{UPLOAD_PREFIX}*")) if _COPY.match(p.name)]
