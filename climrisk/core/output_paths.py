"""Where a command may write: checked before anything is computed."""

from __future__ import annotations

import os
import unicodedata
from collections.abc import Iterable, Mapping
from itertools import combinations
from pathlib import Path

from climrisk.core.errors import InputError
from climrisk.core.paths import data_folder
from climrisk.core.toml_text import parse_toml

_NEXT = "choose another name"
#: Folders of ours that hold what is read and must not be lost.
_OURS = ("archive", "logs", "media", "plants")


def check_outputs(
    outputs: Mapping[str, Path],
    inputs: Iterable[Path],
    *,
    folders: Iterable[str] = (),
) -> None:
    """Refuse outputs that would destroy something or cannot be written.

    Parameters
    ----------
    outputs : dict of str to Path
        By the name of their option.
    inputs : iterable of Path
        What the command reads.
    folders : iterable of str
        Outputs that may be folders.

    Raises
    ------
    InputError
        An output that is an input or another output by any name or link, no regular
        file, or in no folder that can be written.
    """
    folders = set(folders)
    for option, path in outputs.items():
        try:
            _check_place(option, path, folder=option in folders)
        except (OSError, ValueError) as error:
            raise InputError(
                "this name cannot be used", where=option, value=path, next_step=_NEXT
            ) from error
    for (one, path), (other, second) in combinations(outputs.items(), 2):
        if _overlap(path, second):
            raise InputError(
                f"{one} and {other} would write the same file",
                where=other,
                value=second,
                next_step=_NEXT,
            )
    read = [*inputs, *(data_folder() / name for name in _OURS)]
    for option, path in outputs.items():
        for source in read:
            if _overlap(path, source):
                raise InputError(
                    f"this would overwrite {source}, which is read",
                    where=option,
                    value=path,
                    next_step=_NEXT,
                )


def files_of_home(path: Path) -> list[Path]:
    """Return the files that belong to a home: itself, its undo and its weather.

    A home that cannot be read is refused by its reader, with the line.
    """
    found = [path, path.with_name(path.name + ".undo")]
    try:
        file = parse_toml(path.read_text("utf-8-sig"))["weather"]["file"]
        found.append(path.parent / file)
    except (OSError, ValueError, LookupError, TypeError):
        pass
    return found


def _check_place(option: str, path: Path, *, folder: bool) -> None:
    real = Path(os.path.realpath(path))
    if real.is_symlink():
        raise InputError(
            "a link that leads to itself", where=option, value=path, next_step=_NEXT
        )
    if real.exists():
        if real.is_dir() and not folder:
            raise InputError(
                "a folder is there", where=option, value=path, next_step=_NEXT
            )
        if not real.is_dir() and not real.is_file():
            raise InputError(
                "not a regular file", where=option, value=path, next_step=_NEXT
            )
        if not os.access(real, os.W_OK):
            raise InputError(
                "this file is write-protected",
                where=option,
                value=path,
                next_step=_NEXT,
            )
    if not real.parent.is_dir():
        if folder:
            return
        raise InputError("no such folder", where=option, value=path.parent)
    if not os.access(real.parent, os.W_OK):
        raise InputError(
            "cannot write into this folder", where=option, value=path.parent
        )


def _overlap(one: Path, other: Path) -> bool:
    """Whether two paths are the same file, or one is a folder that holds the other."""
    if one.exists() and other.exists():
        if one.samefile(other):
            return True
        first, second = Path(os.path.realpath(one)), Path(os.path.realpath(other))
    else:
        # Some file systems know no difference of case, or of composed letters.
        first, second = _plain(one), _plain(other)
    return first == second or first in second.parents or second in first.parents


def _plain(path: Path) -> Path:
    return Path(unicodedata.normalize("NFC", os.path.realpath(path)).casefold())
