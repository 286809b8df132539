"""How the page was started, and where it keeps what it was handed."""

from __future__ import annotations

import hashlib
import re
import secrets
from dataclasses import dataclass, field
from pathlib import Path

from climrisk.errors import InputError
from climrisk.folders import data_folder
from climrisk.report.write import write_file

MOST_UPLOAD_BYTES = 20_000_000
_KEPT_LOGS = 40
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
        See `climrisk.web.guard.Guard`.
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
    """Keep a handed-over file under the name of its content, and return that.

    The keeper's own name stays for the eye, with nothing in it that a path could use.
    """
    if not data:
        raise InputError(
            "the file is empty",
            where="file",
            value=name[:80],
            next_step="choose the logger's own export",
        )
    key = hashlib.sha256(data).hexdigest()[:16]
    place = folder / key
    place.mkdir(parents=True, exist_ok=True)
    if not any(place.iterdir()):
        write_file(place / _plain(name), data, option="file")
    _sweep(folder, keep=key)
    return key


def log_file(folder: Path, key: str) -> Path:
    """Return the path of a kept file.

    Raises
    ------
    InputError
        It is not kept here.
    """
    place = folder / key
    held = sorted(place.iterdir()) if _ID.match(key) and place.is_dir() else []
    if not held:
        raise InputError(
            "this logger's file is not kept here",
            where="log",
            value=key,
            next_step="hand the file over again",
        )
    return held[0]


def _plain(name: str) -> str:
    """Return a file name made of letters, digits, dots, dashes and blanks."""
    last = re.split(r"[/\\]", name)[-1]
    plain = re.sub(r"[^\w. -]", "_", last).strip(" .")[:80]
    return plain or "logger.csv"


def _sweep(folder: Path, *, keep: str) -> None:
    places = sorted(
        (p for p in folder.iterdir() if _ID.match(p.name) and p.name != keep),
        key=lambda p: -p.stat().st_mtime,
    )
    for old in places[_KEPT_LOGS:]:
        for file in old.iterdir():
            file.unlink()
        old.rmdir()
