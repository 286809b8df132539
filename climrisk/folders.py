"""Where climrisk keeps what it may not lose: archive, station list, own profiles."""

from __future__ import annotations

import os
from pathlib import Path


def data_folder() -> Path:
    """Return the user's data folder; CLIMRISK_DATA sets another one."""
    base = os.environ.get("CLIMRISK_DATA")
    if base is None:
        import platformdirs

        base = platformdirs.user_data_dir("climrisk", appauthor=False)
    return Path(base)
