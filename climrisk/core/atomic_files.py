"""Files written whole or not at all, and how a reader knows that they are whole."""

from __future__ import annotations

import contextlib
import hashlib
import os
import secrets
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from climrisk.core.paths import is_folder

#: Begins the name of an unfinished file: no reader takes such a file for data.
TEMPORARY = ".climrisk-"
_DIGITS = 12
#: An unfinished file this old was left by a process that died.
_LEFTOVER_S = 3600.0
_DIGEST_BYTES = hashlib.sha256().digest_size


@contextmanager
def replacing(
    path: Path, *, private: bool = False, sync: bool = True, locked: bool = False
) -> Iterator[BinaryIO]:
    """Open a temporary file that takes the place of a path once it is complete.

    Parameters
    ----------
    path : Path
        What is there keeps its permissions.
    private : bool
        A new file can be read by its owner alone.
    sync : bool
        Flush to the disk, so that the file outlives a power failure.
    locked : bool
        A lock keeps everyone else from writing this path. What a killed process left
        of it then has a known name, and is removed first.

    Raises
    ------
    OSError
        What was there stays, and no temporary file is left.
    """
    temporary = temporary_of(path) if locked else temporary_beside(path)
    if locked:
        temporary.unlink(missing_ok=True)
    try:
        with _created(temporary, 0o600 if private else 0o666) as file:
            yield file
            file.flush()
            if sync:
                os.fsync(file.fileno())
        with contextlib.suppress(FileNotFoundError):
            temporary.chmod(path.stat().st_mode & 0o777)
        temporary.replace(path)
    except BaseException:
        temporary.unlink(missing_ok=True)
        raise
    if sync:
        sync_folder(path.parent)


def replace_file(
    path: Path,
    data: bytes,
    *,
    private: bool = False,
    sync: bool = True,
    locked: bool = False,
) -> None:
    """Write a file whole or not at all; see `replacing`."""
    with replacing(path, private=private, sync=sync, locked=locked) as file:
        file.write(data)


def temporary_beside(path: Path) -> Path:
    """Return a fresh name in the folder of a path, for what is not complete yet."""
    return path.parent / f"{TEMPORARY}{secrets.token_hex(_DIGITS // 2)}"


def temporary_of(path: Path) -> Path:
    """Return the name of what is not complete yet of a path under a lock."""
    digits = hashlib.sha256(path.name.encode()).hexdigest()[:_DIGITS]
    return path.parent / f"{TEMPORARY}{digits}"


def move_into_place(temporary: Path, path: Path) -> None:
    """Put a complete file or folder in the place of another.

    A folder cannot be replaced in one step: the old one stands aside until the new one
    is there.
    """
    sync_tree(temporary)
    if path.is_dir():
        aside = temporary_beside(path)
        path.rename(aside)
        temporary.rename(path)
        shutil.rmtree(aside, ignore_errors=True)
    else:
        temporary.replace(path)
    sync_folder(path.parent)


def remove(path: Path) -> None:
    """Remove a file or a folder with all it holds, if it is there."""
    if path.is_dir() and not path.is_symlink():
        shutil.rmtree(path, ignore_errors=True)
    else:
        path.unlink(missing_ok=True)


def remove_leftovers(
    folder: Path, *earlier: str, older_than_s: float = _LEFTOVER_S
) -> None:
    """Remove the unfinished files of processes that died.

    Parameters
    ----------
    folder : Path
    earlier : str
        Patterns of the names that earlier versions gave to unfinished files there.
    older_than_s : float
        Zero where a lock keeps everyone else out.
    """
    for pattern in (TEMPORARY + "?" * _DIGITS, *earlier):
        for path in folder.glob(pattern):
            with contextlib.suppress(OSError):
                if time.time() - path.lstat().st_mtime >= older_than_s:
                    remove(path)


def private_folder(folder: Path) -> None:
    """Make a folder that only its owner can enter, and those above it alike.

    A folder that is there keeps its permissions.
    """
    if not is_folder(folder):
        if folder.parent != folder:
            private_folder(folder.parent)
        folder.mkdir(mode=0o700, exist_ok=True)


def sync_folder(folder: Path) -> None:
    """Flush a folder, so that a new name in it outlives a power failure."""
    with contextlib.suppress(OSError):  # not every system lets a folder be opened
        descriptor = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(descriptor)
        finally:
            os.close(descriptor)


def sync_tree(path: Path) -> None:
    """Flush a file, or every file of a folder.

    Raises
    ------
    OSError
        The disk did not take it.
    """
    for file in [path] if path.is_file() else path.rglob("*"):
        if file.is_file():
            descriptor = os.open(file, os.O_RDONLY)
            try:
                os.fsync(descriptor)
            finally:
                os.close(descriptor)


def sealed(data: bytes, subject: str = "") -> bytes:
    """Return data behind a digest of itself and of what it is about."""
    return _digest(data, subject) + data


def unsealed(data: bytes, subject: str = "") -> bytes | None:
    """Return sealed data, or None where a bit of it or its subject differs."""
    seal, body = data[:_DIGEST_BYTES], data[_DIGEST_BYTES:]
    return body if seal == _digest(body, subject) else None


def _digest(data: bytes, subject: str) -> bytes:
    about = hashlib.sha256(subject.encode()).digest() if subject else b""
    return hashlib.sha256(about + data).digest()


@contextmanager
def _created(path: Path, mode: int) -> Iterator[BinaryIO]:
    """Open a new file; the kernel takes the user's mask off its permissions."""
    flags = os.O_RDWR | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    with os.fdopen(os.open(path, flags, mode), "w+b") as file:
        yield file
