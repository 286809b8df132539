"""Finished blocks on disk: kept through a kill, a full disk or a bad store."""

from __future__ import annotations

import errno
import json
import os
import shutil
import tempfile
from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError
from climrisk.regions.blocks import Block
from climrisk.regions.job import Job
from climrisk.regions.plan import Plan

Maps = dict[str, NDArray[Any]]


class Work:
    """A folder beside the output with one file a finished block.

    A block's file is written whole under another name and then renamed, so that a
    block is either finished or not there. The folder belongs to one question of one
    input; another question begins anew. It also holds how the map was cut, so that a
    run goes on with the same blocks whatever its workers are.

    Parameters
    ----------
    out : Path
        The output.
    job : Job
    """

    def __init__(self, out: Path, job: Job) -> None:
        self.folder = out.with_name(out.name + ".blocks")
        self.key = job.key()
        self._lock: Any = None

    def begin(self, fresh: Plan) -> tuple[Plan, set[int]]:
        """Make the folder; return its plan, and the numbers of the finished blocks.

        Parameters
        ----------
        fresh : Plan
            How the map is cut where nothing is there yet.

        Raises
        ------
        InputError
            Something else in the way, another run at work, or no room.
        """
        note = self.folder / "job.json"
        try:
            strange = self.folder.exists() and not (
                note.exists() or not any(self.folder.iterdir())
            )
            if strange:
                raise InputError(
                    "a folder in the way",
                    where="--out",
                    value=self.folder,
                    next_step="move it, or choose another output",
                )
            self.folder.mkdir(parents=True, exist_ok=True)
            self._own()
            held = _read(note)
            if isinstance(held, dict) and held.get("job") == self.key:
                blocks = tuple(
                    Block(i, (b[0], b[1], b[2], b[3]), held["window_h"])
                    for i, b in enumerate(held["boxes"])
                )
                done = {
                    int(p.stem.split("-")[1]) for p in self.folder.glob("block-*.npz")
                }
                return replace(fresh, blocks=blocks), done
            for old in self.folder.glob("block-*.npz"):
                old.unlink()
            told = {
                "job": self.key,
                "boxes": [b.box for b in fresh.blocks],
                "window_h": fresh.blocks[0].window_h,
            }
            note.write_text(json.dumps(told))
        except OSError as error:
            raise no_room(error, self.folder) from error
        return fresh, set()

    def _own(self) -> None:
        """Keep others out while this run lasts."""
        from filelock import FileLock, Timeout

        self._lock = FileLock(self.folder / "run.lock", timeout=0)
        try:
            self._lock.acquire()
        except Timeout as error:
            raise InputError(
                "another run is making these maps",
                where="--out",
                value=self.folder,
                next_step="wait for it, or choose another output",
            ) from error

    def release(self) -> None:
        """Let others in; what is finished stays."""
        if self._lock is not None:
            self._lock.release()

    def keep(self, block: Block, maps: Maps) -> None:
        """Write a finished block.

        Raises
        ------
        InputError
            A disk that is full, or a folder that cannot be written.
        """
        path = self._path(block.number)
        try:
            handle, temporary = tempfile.mkstemp(dir=self.folder, suffix=".part")
            try:
                with os.fdopen(handle, "wb") as file:
                    np.savez(file, **maps)  # type: ignore[arg-type]
                Path(temporary).replace(path)
            except OSError:
                Path(temporary).unlink(missing_ok=True)
                raise
        except OSError as error:
            raise no_room(error, self.folder) from error

    def read(self, block: Block, names: Iterable[str]) -> Maps:
        """Return some maps of a finished block."""
        with np.load(self._path(block.number)) as held:
            return {name: np.asarray(held[name]) for name in names}

    def done(self) -> None:
        """Remove the folder: the output is there."""
        self.release()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _path(self, number: int) -> Path:
        return self.folder / f"block-{number:06d}.npz"


def _read(note: Path) -> Any:
    try:
        return json.loads(note.read_text())
    except (OSError, ValueError):
        return None


def no_room(error: OSError, path: Path) -> InputError:
    """Return the error of a file that could not be written."""
    full = error.errno in (errno.ENOSPC, errno.EDQUOT)
    return InputError(
        "the disk is full" if full else "cannot write",
        where=str(path),
        value=error.strerror or error,
        next_step="make room and run the same command again: finished blocks are kept"
        if full
        else "choose a place that can be written",
    )
