"""Finished blocks on disk: kept through a kill, a full disk or a bad store."""

from __future__ import annotations

import errno
import hashlib
import json
import math
import re
import shutil
from collections.abc import Collection
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.atomic_files import (
    remove,
    remove_leftovers,
    replace_file,
    sealed,
    unsealed,
)
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.regions.blocks import Block
from climrisk.regions.job import RegionJob
from climrisk.regions.plan import Plan
from climrisk.regions.units import OUTPUTS

Maps = dict[str, NDArray[Any]]
_DIGEST = "sha256"
_BLOCK = re.compile(r"block-(\d{6})\.maps")
#: Names of all that may lie in the folder, those of earlier versions included.
_OURS = re.compile(
    rf"run\.lock|job\.json|\.climrisk-.*|{_BLOCK.pattern}|block-\d+\.npz|tmp.*\.part"
)


class Work:
    """A folder beside the output with one file a finished block.

    A block's file holds its maps one after the other, in the order of
    `climrisk.regions.units.OUTPUTS`. It is written whole or not at all, flushed to the
    disk, and begins with a digest of its content and of the question that it answers:
    a block that is damaged, or belongs to another question, is computed again. The
    folder also holds how the map was cut, so that a run goes on with the same blocks
    whatever its workers are.

    Parameters
    ----------
    out : Path
        The output.
    job : RegionJob
    """

    def __init__(self, out: Path, job: RegionJob) -> None:
        self.folder = out.with_name(out.name + ".blocks")
        self.key, self.plants = job.key(), len(job.plants)
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
        try:
            self.folder.mkdir(parents=True, exist_ok=True)
            if not all(_OURS.fullmatch(p.name) for p in self.folder.iterdir()):
                raise InputError(
                    "a folder in the way",
                    where=field("out"),
                    value=self.folder,
                    next_step="move it, or choose another output",
                )
            self._own()
            remove_leftovers(self.folder, "tmp*.part", older_than_s=0.0)
            plan = self._noted(fresh)
            if plan is None:
                plan = fresh
                self._note(plan)
            return plan, self._finished(plan)
        except OSError as error:
            raise no_room(error, self.folder) from error

    def _own(self) -> None:
        """Keep others out while this run lasts."""
        from filelock import FileLock, Timeout

        self._lock = FileLock(self.folder / "run.lock", timeout=0)
        try:
            self._lock.acquire()
        except Timeout as error:
            raise InputError(
                "another run is making these maps",
                where=field("out"),
                value=self.folder,
                next_step="wait for it, or choose another output",
            ) from error

    def _noted(self, fresh: Plan) -> Plan | None:
        """Return the plan of an earlier run, or None without one that is whole."""
        try:
            note = json.loads((self.folder / "job.json").read_bytes())
            digest = note.pop(_DIGEST)
            if digest != _digest(note) or note["job"] != self.key:
                return None
            blocks = tuple(
                Block(i, (b[0], b[1], b[2], b[3]), note["window_h"])
                for i, b in enumerate(note["boxes"])
            )
        except (OSError, ValueError, LookupError, TypeError, AttributeError):
            return None
        except RecursionError:  # brackets without end
            return None
        return replace(fresh, blocks=blocks)

    def _note(self, plan: Plan) -> None:
        note = {
            "job": self.key,
            "boxes": [list(b.box) for b in plan.blocks],
            "window_h": plan.blocks[0].window_h,
        }
        text = json.dumps({**note, _DIGEST: _digest(note)})
        replace_file(self.folder / "job.json", text.encode())

    def _finished(self, plan: Plan) -> set[int]:
        """Return the numbers of blocks that are whole; remove all others."""
        done = set()
        for path in self.folder.glob("block-*"):
            found = _BLOCK.fullmatch(path.name)
            number = int(found[1]) if found else len(plan.blocks)
            if number < len(plan.blocks) and self._is_whole(plan.blocks[number]):
                done.add(number)
            else:
                remove(path)
        return done

    def _is_whole(self, block: Block) -> bool:
        try:
            data = self._path(block.number).read_bytes()
        except OSError:
            return False
        return unsealed(data, self._subject(block)) is not None

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
        try:
            body = b"".join(maps[name].tobytes() for name in OUTPUTS)
            data = sealed(body, self._subject(block))
            replace_file(self._path(block.number), data)
        except OSError as error:
            raise no_room(error, self.folder) from error

    def read(self, block: Block, names: Collection[str]) -> Maps:
        """Return some maps of a finished block.

        Raises
        ------
        InputError
            It was damaged since it was finished.
        """
        path = self._path(block.number)
        try:
            body = unsealed(path.read_bytes(), self._subject(block))
        except OSError:
            body = None
        if body is None:
            raise InputError(
                "a finished block was damaged",
                where=str(path),
                next_step="run the same command again: this block is computed again",
            )
        maps: Maps = {}
        at = 0
        for name, spec in OUTPUTS.items():
            shape = spec.shape(self.plants, block.shape)
            count = math.prod(shape)
            if name in names:
                maps[name] = np.frombuffer(body, spec.dtype, count, at).reshape(shape)
            at += count * np.dtype(spec.dtype).itemsize
        return maps

    def done(self) -> None:
        """Remove the folder: the output is there."""
        self.release()
        shutil.rmtree(self.folder, ignore_errors=True)

    def _path(self, number: int) -> Path:
        return self.folder / f"block-{number:06d}.maps"

    def _subject(self, block: Block) -> str:
        return f"{self.key} {block.number} {block.box} {block.window_h}"


def _digest(note: dict[str, Any]) -> str:
    return hashlib.sha256(json.dumps(note, sort_keys=True).encode()).hexdigest()


def no_room(error: OSError, path: Path) -> InputError:
    """Return the error of a file that could not be written."""
    again = "and run the same command again: finished blocks are reused"
    what, next_step = {
        errno.ENOSPC: ("the disk is full", f"make room {again}"),
        errno.EDQUOT: ("the disk is full", f"make room {again}"),
        errno.EFBIG: ("a file may not be that large here", f"raise the limit {again}"),
    }.get(error.errno or 0, ("cannot write", "choose a place that can be written"))
    return InputError(
        what, where=str(path), value=error.strerror or error, next_step=next_step
    )
