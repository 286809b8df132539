"""How the page was started, and where it keeps what it was handed."""

from __future__ import annotations

import hashlib
import itertools
import os
import re
import secrets
import shutil
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path

from climrisk.core.atomic_files import TEMPORARY, private_folder, remove_leftovers
from climrisk.core.errors import InputError
from climrisk.core.paths import UPLOAD_PREFIX, data_folder
from climrisk.render.write import write_file

MOST_UPLOAD_BYTES = 20_000_000
_MOST_LOGS = 40
_ID = re.compile(r"^[0-9a-f]{16}$")


@dataclass(frozen=True)
class Settings:
    """Settings of the page.

    Parameters
    ----------
    home : Path or None
        The home file; None before there is one.
    demo : bool
        Walk through the demo home where no weather is named.
    hosts : tuple of str
    any_address : bool
    token : str or None
        See `climrisk.web.security.SecurityMiddleware`.
    seconds, memory_mb, workers
        Bounds of the work on one question.
    """

    home: Path | None = None
    demo: bool = False
    hosts: tuple[str, ...] = ()
    any_address: bool = False
    token: str | None = None
    seconds: float = 180.0
    memory_mb: int = 3000
    workers: int = 2
    logs: Path = field(default_factory=lambda: data_folder() / "logs")


def new_token() -> str:
    """Return a token that cannot be guessed."""
    return secrets.token_urlsafe(18)


def keep_log(folder: Path, name: str, data: bytes) -> str:
    """Keep an uploaded file under a name made from its content; return its key.

    The user's own name follows for the eye, with nothing in it that a path could use.
    """
    if not data:
        raise InputError(
            "the file is empty",
            where="file",
            value=name[:80],
            next_step="choose the logger's own export",
        )
    _check_text(name, data)
    key = _key_of(data)
    place = folder / key
    if _whole(place, key) is None:
        try:
            private_folder(place)
        except OSError as error:
            raise InputError(
                "cannot keep the file",
                where="file",
                value=error.strerror,
                next_step="make room, or set CLIMRISK_DATA to another folder",
            ) from error
        generated = f"{UPLOAD_PREFIX}{key}-{_plain(name)}"
        write_file(place / generated, data, option="file", private=True)
    _sweep(folder, keep=key)
    return key


#: How files begin that are no text, what they are, and how to get a text from them.
_NO_TEXT = (
    (b"PK\x03\x04", "a spreadsheet (Excel or similar)", "save it as CSV there"),
    (b"\xd0\xcf\x11\xe0", "an old Excel workbook", "save it as CSV there"),
    (b"%PDF", "a PDF", "export the readings as CSV in the logger's app"),
    (b"\x89PNG", "a picture", "export the readings as CSV in the logger's app"),
    (b"\xff\xd8\xff", "a photo", "export the readings as CSV in the logger's app"),
)


def _check_text(name: str, data: bytes) -> None:
    """Refuse in plain words what is no table of readings."""
    for start, what, step in _NO_TEXT:
        if data.startswith(start):
            raise InputError(
                f"this file is {what}, which cannot be read here",
                where="file",
                value=name[:80],
                next_step=f"{step}, then choose the new file",
            )


def log_file(folder: Path, key: str) -> Path:
    """Return the path of a kept file.

    Raises
    ------
    InputError
        It is not kept here, or not whole.
    """
    place = folder / key
    found = _whole(place, key) if _ID.match(key) else None
    if found is None:
        raise InputError(
            "this logger's file is not stored here",
            where="log",
            value=key,
            next_step="hand the file over again",
        )
    return found


def copy_log(source: Path, folder: Path) -> Path:
    """Copy a kept file into a folder under its generated name; return its path there.

    A file that is there and differs, because it was edited or cut short, stays, and
    the copy gets a number.
    """
    data = source.read_bytes()
    for number in itertools.count(1):
        name = source.name if number == 1 else f"{source.stem}-{number}{source.suffix}"
        path = folder / name
        if not os.path.lexists(path):
            write_file(path, data, option="file", private=True)
            return path
        if path.is_file() and path.read_bytes() == data:
            return path
    raise AssertionError


def _key_of(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:16]


def _whole(place: Path, key: str) -> Path | None:
    """Return the file of a folder whose content is that of its key."""
    try:
        for path in sorted(place.iterdir()):
            if not path.name.startswith(TEMPORARY) and path.is_file():
                state = path.stat()
                if _file_key(path, state.st_mtime_ns, state.st_size) == key:
                    return path
    except OSError:
        return None
    return None


@lru_cache(maxsize=64)
def _file_key(path: Path, _changed_ns: int, _size: int) -> str:
    """Return the key of a file's content, read once for each state of the file."""
    return _key_of(path.read_bytes())


def _plain(name: str) -> str:
    """Return a file name made of letters, digits, dots, dashes and blanks."""
    last = re.split(r"[/\\]", name)[-1]
    plain = re.sub(r"[^\w. -]", "_", last).strip(" .")[:40]
    return plain or "logger.csv"


def _sweep(folder: Path, *, keep: str) -> None:
    """Remove what was handed over long ago, and what a killed upload left."""
    places = [p for p in folder.iterdir() if _ID.match(p.name)]
    for place in places:
        remove_leftovers(place)
    old = [(p.stat().st_mtime, p) for p in places if p.name != keep]
    for _, place in sorted(old, reverse=True)[_MOST_LOGS:]:
        shutil.rmtree(place, ignore_errors=True)
