"""Compile what the tests run of the compiled loops, once and on all processors.

They are compiled for each type of number, the pot's for each size of pot as well. Tests
that meet one for the first time, in several processes at once, would each compile it.
"""

from __future__ import annotations

import sys
from typing import Any

from climrisk.core.compiled import Compiled
from climrisk.exposure.sweep import SWEEP
from climrisk.physics.pointwise import Loop
from climrisk.pot.forcing import LAY_OUT
from climrisk.pot.kernel.march import RUN
from climrisk.pot.kernel.variants import DOUBLE, SINGLE, laid_out, rings, shells
from climrisk.regions.compiled import sweep_form
from climrisk.spot.formulas import FORMULAS

#: Shells and half-widths of the matrix of volumes, by the type of number.
SHELLS = [(SINGLE, 8), (DOUBLE, 8), (DOUBLE, 6)]
BANDS = [
    *((SINGLE, n) for n in (6, 7, 8)),
    *((DOUBLE, n) for n in (6, 7, 8, 9, 16, 2, 4)),
]


def formula_loops() -> list[Loop]:
    """Return the loops of all formulas of a spot."""
    return [loop for f in FORMULAS for loop in (f.of_members, f.of_places)]


def forms() -> list[tuple[Compiled, tuple[Any, ...]]]:
    """Return every variant, the costliest first."""
    pots = [
        shells(SINGLE, 8, spot=True),
        *(rings(kind, n) for kind, n in BANDS),
        *(shells(kind, n) for kind, n in SHELLS),
    ]
    both = (SINGLE, DOUBLE)
    return [
        *((RUN, form) for form in pots),
        *((SWEEP, sweep_form(kind)) for kind in both),
        *((loop, loop.form) for loop in formula_loops()),
        *((LAY_OUT, laid_out(kind)) for kind in both),
    ]


def main(part: int, parts: int) -> None:
    """Compile one variant in so many."""
    for function, form in forms()[part::parts]:
        function.compile(form)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
