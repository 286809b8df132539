"""Finished blocks on disk: kept through a kill, a full disk or a bad store."""

from __future__ import annotations

import errno
import json
import os
import shutil
import tempfile
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
    input; another question begins anew.

    Parameters
    ----------
    out : Path
        The output.
    job : Job
    plan : Plan
    """

    def __init__(self, out: Path, job: Job, plan: Plan) -> None:
        self.out = out
        self.folder = out.with_name(out.name + ".blocks")
        self.plan = plan
        self.key = {"job": job.key(), "blocks": len(plan.blocks), "first": _box(plan)}

    def begin(self) -> set[int]:
        """Make the folder and return the numbers of the blocks that it holds."""
        note = self.folder / "job.json"
        try:
            if self.folder.exists():
                if _read(note) == self.key:
                    return {
                        int(p.stem.split("-")[1])
                        for p in self.folder.glob("block-*.npz")
                    }
                if not note.exists():
                    raise InputError(
                        "a folder in the way",
                        where="--out",
                        value=self.folder,
                        next_step="move it, or choose another output",
                    )
                shutil.rmtree(self.folder)
            self.folder.mkdir(parents=True)
            note.write_text(json.dumps(self.key))
        except OSError as error:
            raise no_room(error, self.folder) from error
        return set()

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

    def read(self, block: Block, name: str) -> NDArray[Any]:
        """Return one map of a finished block."""
        with np.load(self._path(block.number)) as held:
            return np.asarray(held[name])

    def done(self) -> None:
        """Remove the folder: the output is there."""
        shutil.rmtree(self.folder, ignore_errors=True)

    def _path(self, number: int) -> Path:
        return self.folder / f"block-{number:06d}.npz"


def _box(plan: Plan) -> list[int]:
    return list(plan.blocks[0].box)


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
