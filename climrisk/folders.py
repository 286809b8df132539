"""Where climrisk keeps what it may not lose, and what it may."""

from __future__ import annotations

import os
from pathlib import Path


def data_folder() -> Path:
    """Return the user's data folder; CLIMRISK_DATA sets another one.

    It holds what may not be lost: the archive of stations' hours and own profiles.
    """
    base = os.environ.get("CLIMRISK_DATA")
    if base is None:
        import platformdirs

        base = platformdirs.user_data_dir("climrisk", appauthor=False)
    return Path(base)


def cache_folder() -> Path:
    """Return the folder of what can be computed again; in CLIMRISK_DATA where set."""
    if os.environ.get("CLIMRISK_DATA"):
        return data_folder() / "cache"
    import platformdirs

    return Path(platformdirs.user_cache_dir("climrisk", appauthor=False))
