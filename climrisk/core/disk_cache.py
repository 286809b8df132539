"""Arrays worth a file: computed once, read from the disk afterwards.

Importing what computes them may take longer than all the rest of a command. A file that
is damaged, of another shape, or cannot be written changes nothing but the time.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
from collections.abc import Callable
from pathlib import Path

import numpy as np

from climrisk.core.arrays import Float
from climrisk.core.atomic_files import remove_leftovers, replace_file, sealed, unsealed
from climrisk.core.paths import cache_folder
from climrisk.core.version import __version__

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
        body = unsealed(path.read_bytes())
        if body is None:
            return None
        array = np.frombuffer(body, np.float32)
        with contextlib.suppress(OSError):
            os.utime(path)
        return array.reshape(shape)
    except (OSError, ValueError):
        return None


def _write(path: Path, array: Float) -> None:
    path.parent.mkdir(parents=True, exist_ok=True)
    # A copy that a power failure takes is computed again.
    replace_file(path, sealed(array.tobytes()), sync=False)
    remove_leftovers(path.parent, "tmp*.part")
    old = sorted(path.parent.glob("*.f32"), key=lambda p: -p.stat().st_mtime)
    for extra in old[_MOST_FILES:]:
        extra.unlink(missing_ok=True)
