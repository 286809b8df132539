"""Files written whole or not at all, never over a folder."""

from __future__ import annotations

from pathlib import Path

from climrisk.errors import InputError
from climrisk.folders import replace_file


def write_file(path: Path, data: str | bytes, *, option: str) -> str:
    """Write a file atomically and return its path as text.

    Raises
    ------
    InputError
        The folder is not there or cannot be written; what was there stays.
    """
    raw = data.encode("utf-8") if isinstance(data, str) else data
    try:
        replace_file(path, raw)
    except OSError as error:
        raise InputError(
            "cannot write the file",
            where=option,
            value=path,
            allowed=f"a place that can be written ({error.strerror})",
        ) from error
    return str(path)
