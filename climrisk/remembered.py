"""Arrays worth a file: computed once, read from the disk afterwards.

Importing what computes them may take longer than all the rest of a command. A file that
is damaged, of another shape, or cannot be written changes nothing but the time.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import tempfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from climrisk import __version__
from climrisk.folders import cache_folder

Float = NDArray[np.floating]

#: Files kept of one kind; the least lately used go first.
_MOST_FILES = 24


def remembered(
    kind: str, name: str, shape: tuple[int, ...], compute: Callable[[], Float]
) -> Float:
    """Return an array of float32 from its file, or compute it and write the file.

    Parameters
    ----------
    kind : str
        Folder of the cache.
    name : str
        All that the array depends on; the program's version is added.
    shape : tuple of int
        What the file must hold to be believed.
    compute : callable
        Returns the array, float32.
    """
    key = hashlib.sha256(f"{__version__} {name}".encode()).hexdigest()[:24]
    path = cache_folder() / kind / f"{key}.f32"
    held = _read(path, shape)
    if held is not None:
        return held
    made = np.ascontiguousarray(compute(), np.float32)
    with contextlib.suppress(OSError):
        _write(path, made)
    return made


def _read(path: Path, shape: tuple[int, ...]) -> Float | None:
    try:
        data = path.read_bytes()
        seal, body = data[:32], data[32:]
        if hashlib.sha256(body).digest() != seal:
            return None
        array = np.frombuffer(body, np.float32)
        with contextlib.suppress(OSError):
            os.utime(path)
        return array.reshape(shape)
    except (OSError, ValueError):
        return None


def _write(path: Path, array: Float) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    body = array.tobytes()
    handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".part")
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(hashlib.sha256(body).digest() + body)
        Path(temporary).replace(path)
    except OSError:
        Path(temporary).unlink(missing_ok=True)
        raise
    old = sorted(path.parent.glob("*.f32"), key=lambda p: -p.stat().st_mtime)
    for extra in old[_MOST_FILES:]:
        extra.unlink(missing_ok=True)
