"""Files written whole or not at all, never over a folder."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from climrisk.errors import InputError


def write_file(path: Path, data: str | bytes, *, option: str) -> str:
    """Write a file atomically and return its path as text.

    Raises
    ------
    InputError
        The folder is not there or cannot be written; what was there stays.
    """
    raw = data.encode("utf-8") if isinstance(data, str) else data
    try:
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".climrisk-")
        try:
            with os.fdopen(handle, "wb") as file:
                file.write(raw)
            Path(name).chmod(0o644)
            Path(name).replace(path)
        except BaseException:
            Path(name).unlink(missing_ok=True)
            raise
    except OSError as error:
        raise InputError(
            "cannot write the file",
            where=option,
            value=path,
            allowed=f"a place that can be written ({error.strerror})",
        ) from error
    return str(path)
