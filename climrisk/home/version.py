"""Versions of the home file: which are read, and how an older one is upgraded.

A file says its version as ``version = 1``. One without it is from before versions were
noted, which counts as 0. Any older version is read; the next change upgrades it.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from climrisk.core.errors import InputError

#: What is written today.
VERSION = 1


def check_version(data: Mapping[str, Any], *, where: str) -> None:
    """Raise InputError where a file is of a later version than is known here."""
    version = data.get("version", 0)
    if isinstance(version, int) and version > VERSION:
        raise InputError(
            "this home file was written by a later climrisk",
            where=where,
            value=f"version = {version}",
            allowed=f"up to version = {VERSION}",
            next_step="install the current climrisk; the file stays as it is",
        )


def upgraded(text: str) -> str:
    """Return the text of a home file in today's version; comments and lines stay.

    Parameters
    ----------
    text : str
        Valid, of this or an older version.
    """
    # Reading alone is many times faster than parsing for a change.
    held = tomllib.loads(text).get("version")
    if held == VERSION:
        return text
    if held is not None:
        import tomlkit

        document = tomlkit.parse(text)
        document["version"] = VERSION
        return document.as_string()
    return _with_version(text)


def _with_version(text: str) -> str:
    """Return a text with its version as the first key, below the remark that opens it.

    A remark right above the first key or table stays with that.
    """
    lines = text.splitlines(keepends=True)
    first = next(i for i, line in enumerate(lines) if not _is_remark(line))
    while first and lines[first - 1].strip():
        first -= 1
    end = "\r\n" if "\r\n" in text else "\n"
    below = next(line for line in lines[first:] if not _is_remark(line))
    gap = end if below.lstrip().startswith("[") else ""
    return "".join([*lines[:first], f"version = {VERSION}{end}{gap}", *lines[first:]])


def _is_remark(line: str) -> bool:
    return not line.strip() or line.lstrip().startswith("#")
