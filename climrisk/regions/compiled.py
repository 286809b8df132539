"""What maps need compiled: once on each machine, on all of its processors."""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

from climrisk.core.compiled import Compiled, array_form
from climrisk.core.compiler_cache import only_one
from climrisk.exposure.sweep import SWEEP
from climrisk.pot.forcing import LAY_OUT
from climrisk.pot.kernel.march import RUN
from climrisk.pot.kernel.variants import SINGLE, laid_out, shells
from climrisk.spot.formulas import FORMULAS
from climrisk.spot.wind import SLOWED


def sweep_form(dtype: str) -> tuple[Any, ...]:
    """Return the types of the exposure pass over many places."""
    values, whole = array_form(dtype, 2), array_form("float32", 3)
    stretch, row, runs = (
        array_form("int64", 1),
        array_form(dtype, 1),
        array_form("int32", 3),
    )
    return (
        *(
            values,
            dtype,
            *(stretch,) * 4,
            array_form("bool", 2),
            row,
            "bool",
            "bool",
            "int64",
        ),
        *(whole, whole, array_form("float32", 2), runs, runs),
        *(values, array_form("int16", 2), values, row),
    )


Function = tuple[Compiled, tuple[Any, ...]]
#: What maps are made with, in parts that take about as long, the costliest first.
MAPS: tuple[tuple[Function, ...], ...] = (
    ((RUN, shells(SINGLE, 8, spot=True)),),
    ((RUN, shells(SINGLE, 8)),),
    ((SWEEP, sweep_form(SINGLE)),),
    (
        (LAY_OUT, laid_out(SINGLE)),
        *((f.of_places, f.of_places.form) for f in FORMULAS),
        # Of a wind that is assumed.
        (SLOWED.of_members, SLOWED.of_members.form),
    ),
)


def load_for_maps() -> None:
    """Load what maps are made with into this process, if it is compiled."""
    if not _lacking():
        for part in MAPS:
            for function, form in part:
                function.load(form)


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
    with only_one(SWEEP.folder), ThreadPoolExecutor(os.cpu_count() or 1) as pool:
        list(pool.map(_compile_apart, _lacking()))


def _lacking() -> list[int]:
    """Return which parts of `MAPS` are not compiled yet, as far as can be told."""
    return [
        i
        for i, part in enumerate(MAPS)
        if not all(function.is_stored(form) for function, form in part)
    ]


def _compile_apart(i: int) -> None:
    """Compile a part of `MAPS` in another process; what fails is left to its use."""
    code = (
        "from climrisk.regions.compiled import MAPS\n"
        f"for function, form in MAPS[{i}]: function.compile(form)"
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
