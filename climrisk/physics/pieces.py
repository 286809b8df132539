"""How loops and the pieces that are put into them are compiled.

A piece is put into the loop before that is compiled. In compiled code a bare 0.5 is
double precision and would turn all it meets, so that numbers pass through `kind`, the
arrays' own type.
"""

from __future__ import annotations

from collections.abc import Callable
from types import FunctionType
from typing import Any

import numpy as np
from numba import njit

from climrisk.core.compiler_cache import cached_njit
from climrisk.physics.pointwise import where
from climrisk.physics.vectors import use_wide_vectors

use_wide_vectors()

# Division by zero gives inf instead of a branch, so that loops vectorize. NaN tests
# stay: no fastmath but the joining of a product and a sum.
_options: dict[str, Any] = {
    "nogil": True,
    "error_model": "numpy",
    "fastmath": {"contract"},
}
compiled = cached_njit(**_options)
#: No two arrays that the loop is given overlap.
compiled_apart = cached_njit(apart=True, **_options)
#: Pieces of the hour are put into their caller before it is compiled: the rows they
#: work on are then constants, without which loops over lanes stay scalar.
inlined = njit(inline="always", **_options)


def single(formula: Any) -> Any:
    """Return a pointwise formula as a piece of the loop, in single precision.

    The formula's own text is compiled (see `climrisk.physics.pointwise`), with its
    constants and those of its module in single precision, and with the formulas that
    it calls treated likewise, so that arrays and the loop share one source.

    Parameters
    ----------
    formula : callable
    """
    code, names = formula.__code__, dict(formula.__globals__)
    for name in code.co_names:
        known = names.get(name)
        if isinstance(known, float):
            names[name] = np.float32(known)
        elif isinstance(known, FunctionType):
            names[name] = _where if known is where else single(known)
    constants = tuple(
        np.float32(x) if isinstance(x, float) else x for x in code.co_consts
    )
    plain = FunctionType(code.replace(co_consts=constants), names, formula.__name__)
    return inlined(plain)


@inlined
def _where(condition, one, other):  # type: ignore[no-untyped-def]
    return one if condition else other


def pointwise_loop(formula: Callable[..., Any], inputs: str, results: int) -> Any:
    """Return the compiled loop of a formula: see `climrisk.physics.pointwise`."""
    u = np.uint64
    lines = [
        f"def {formula.__name__}({', '.join(_names('i', len(inputs)))}, "
        f"{', '.join(_names('o', results))}, night, start, stop):",
        "    for t in range(u(start), u(stop)):",
        "        row = u(night[t])",
        *(f"        h{k} = i{k}[t]" for k, kind in enumerate(inputs) if kind == "h"),
        "        for c in range(u(o0.shape[1])):",
    ]
    read = {"n": "i{}[row, c]", "h": "h{}", "f": "i{}[t, c]", "c": "i{}[c]"}
    values = ", ".join(read[kind].format(k) for k, kind in enumerate(inputs))
    to = ", ".join(f"o{k}[t, c]" for k in range(results))
    lines.append(f"            {to} = formula({values})")
    names: dict[str, Any] = {}
    exec("\n".join(lines), {"u": u, "formula": single(formula)}, names)
    return compiled_apart(names[formula.__name__])


def _names(letter: str, count: int) -> list[str]:
    return [f"{letter}{k}" for k in range(count)]
