"""Small and read-only disks for tests; they need root, as in a container."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest


@contextmanager
def mounted(*words: str, at: Path) -> Iterator[None]:
    """Mount something for a while, or skip the test."""
    if os.geteuid() != 0:
        pytest.skip("only root can mount a disk")
    for mount in words:
        done = subprocess.run(["mount", *mount.split(), str(at)], capture_output=True)
        if done.returncode:
            pytest.skip("no disk can be mounted here")
    try:
        yield
    finally:
        subprocess.run(["umount", str(at)], check=True)


@contextmanager
def small_disk(folder: Path, size_kb: int) -> Iterator[Path]:
    """Give a folder that holds so many kB."""
    folder.mkdir(exist_ok=True)
    with mounted(f"-t tmpfs -o size={size_kb}k tmpfs", at=folder):
        yield folder


@contextmanager
def read_only(folder: Path) -> Iterator[Path]:
    """Make a folder read-only, for root too."""
    with mounted(f"--bind {folder}", "-o remount,ro,bind", at=folder):
        yield folder
