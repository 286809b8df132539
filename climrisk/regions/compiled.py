"""What maps need compiled: once on each machine, on all of its processors."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from climrisk.core.compiler_cache import is_compiled, only_one
from climrisk.exposure.sweep import sweep
from climrisk.pot.kernel.loop import _run
from climrisk.pot.kernel.variants import BOOL, INT, SHORT, SINGLE, WORD, array, shells


def sweep_form(kind: Any) -> tuple[Any, ...]:
    """Return the types of the exposure pass over many places."""
    values, whole = array(kind, 2), array(SINGLE, 3)
    stretch = array(INT, 1)
    return (
        *(values, *(stretch,) * 4, array(BOOL, 2), array(kind, 1), BOOL, BOOL, INT),
        *(whole, whole, array(SINGLE, 2), array(WORD, 3), array(WORD, 3)),
        *(values, array(SHORT, 2), values),
    )


#: What maps are made with, the costliest first.
MAPS = (
    (_run, shells(SINGLE, 8, spot=True)),
    (_run, shells(SINGLE, 8)),
    (sweep, sweep_form(SINGLE)),
)


def load_for_maps() -> None:
    """Load what maps are made with into this process, if it is compiled."""
    if not _lacking():
        for function, form in MAPS:
            function.compile(form)


def compile_for_maps(say: Callable[[str], None]) -> None:
    """Compile what maps are made with and this machine lacks, on all processors.

    Processes that need it at the same time wait for the first of them.

    Parameters
    ----------
    say : callable
        Told in a line what is done, and that it is done once.
    """
    if not _lacking():
        return
    say("compiling for this machine, once: half a minute on two processors")
    with only_one(sweep), ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        list(pool.map(_compile_apart, _lacking()))


def _lacking() -> list[int]:
    """Return which of `MAPS` are not compiled yet, as far as that can be told."""
    return [i for i, one in enumerate(MAPS) if is_compiled(*one) is False]


def _compile_apart(i: int) -> None:
    """Compile one of `MAPS` in another process; what fails is compiled where used."""
    code = (
        "from climrisk.regions.compiled import MAPS; "
        f"MAPS[{i}][0].compile(MAPS[{i}][1])"
    )
    command = [sys.executable, "-c", code]
    with contextlib.suppress(OSError):
        subprocess.run(
            command,
            check=False,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(filter(None, sys.path))},
        )
