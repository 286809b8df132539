"""Code in a process of its own, with a module that was made for it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).parents[2]


def printed(
    folder: Path, code: str, cache: Path | str, limit: int = 10**9, **more: str
) -> str:
    """Run code that imports from a folder, and return what it printed.

    Parameters
    ----------
    folder : Path
        Of the modules that were made.
    code : str
        Its first argument is `limit`: the largest file that it may write.
    cache : Path or str
        Where the compiler keeps its files.
    more : str
        Further environment variables.
    """
    path = os.pathsep.join((str(folder), str(ROOT)))
    done = subprocess.run(
        [sys.executable, "-B", "-c", code, str(limit)],
        env={**os.environ, "PYTHONPATH": path, "NUMBA_CACHE_DIR": str(cache), **more},
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr
    assert done.stderr == ""
    return done.stdout
