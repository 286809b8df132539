"""Where climrisk keeps what it may not lose, and what it may."""

from __future__ import annotations

import os
import re
from pathlib import Path

#: Begins the generated name of an uploaded file; a key of 16 digits follows.
UPLOAD_PREFIX = "log-"


def data_folder() -> Path:
    """Return the user's data folder; CLIMRISK_DATA sets another one.

    It holds what may not be lost: the archive of stations' hours and own profiles.
    """
    base = os.environ.get("CLIMRISK_DATA")
    if not base:
        import platformdirs

        base = platformdirs.user_data_dir("climrisk", appauthor=False)
    return Path(base)


def is_folder(path: Path) -> bool:
    """Whether a folder is there; False where its name cannot even be looked up."""
    try:
        return path.is_dir()
    except OSError:
        return False


def is_file(path: Path) -> bool:
    """Whether a file is there; False where its name cannot even be looked up."""
    try:
        return path.is_file()
    except OSError:
        return False


def cache_folder() -> Path:
    """Return the folder of what can be computed again; in CLIMRISK_DATA where set."""
    if os.environ.get("CLIMRISK_DATA"):
        return data_folder() / "cache"
    import platformdirs

    return Path(platformdirs.user_cache_dir("climrisk", appauthor=False))


def shown_name(path: Path) -> str:
    """Return the name of a file as its owner knows it."""
    return re.sub(rf"^{UPLOAD_PREFIX}[0-9a-f]{{16}}-", "", path.name)
