"""Pointwise formulas: one text serves arrays and loops.

A formula that is put into a compiled loop takes and returns numbers or arrays, works
without a branch and in nothing but arithmetic, `np.minimum`, `np.maximum`, `np.sqrt`,
`np.isnan` and `where`. Its numbers are written as 2.0, not as 2: compiled, a whole
number would turn all it meets to double precision.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.chunked import (
    THREADS,
    is_single_threaded,
    several_by_slabs,
    share_out,
)
from climrisk.core.compiled import Compiled, array_form, plain_array

#: Fewer values than this are not worth a thread's while.
_WORTH_SHARING = 200_000


def where(condition: Any, one: Any, other: Any) -> Any:
    """Return `one` where the condition holds, else `other`; both are computed."""
    return np.where(condition, one, other)


class Pointwise(Compiled):
    """A pointwise formula, compiled for arrays (time, case) of single precision.

    With numpy each step of a formula writes an array; compiled, an hour is read once
    and what comes of it written once.

    Parameters
    ----------
    formula : callable
        At the top of its module.
    inputs : str
        A letter for each: ``f`` of shape (time, case), ``h`` of hours, the same for all
        cases, ``c`` of cases, the same at all hours, ``n`` a table (night, case).
    results : int
    sources : tuple of str
        Modules whose text it depends on besides its own.
    """

    def __init__(
        self,
        formula: Callable[..., Any],
        inputs: str,
        results: int = 1,
        *,
        sources: tuple[str, ...] = (),
    ) -> None:
        own = ("pieces", "pointwise", "vectors")
        super().__init__(
            formula.__module__,
            formula.__name__,
            (
                *(formula.__module__, *sources, "climrisk.core.compiler_cache"),
                *(f"climrisk.physics.{name}" for name in own),
            ),
        )
        self.formula, self.inputs, self.results = formula, inputs, results

    def function(self) -> Any:
        """Return the loop for the compiler."""
        from climrisk.physics.pieces import pointwise_loop

        return pointwise_loop(self.formula, self.inputs, self.results)

    @property
    def form(self) -> tuple[Any, ...]:
        """The types of the loop's arguments."""
        given = (array_form("float32", 1 if k in "hc" else 2) for k in self.inputs)
        out = (array_form("float32", 2),) * self.results
        return (*given, *out, array_form("int64", 1), "int64", "int64")

    def of(
        self, *given: NDArray[Any] | float, night: NDArray[np.int64] | None = None
    ) -> tuple[Float, ...]:
        """Return the formula of arrays.

        Parameters
        ----------
        *given : array_like
            Each of shape (time or 1, case or 1), or a number. NaN gives NaN as the
            formula does. Where an input is wider than what is compiled, the formula
            itself is used.
        night : ndarray of int, shape (time,), optional
            Row of the tables of nights for each hour.

        Returns
        -------
        tuple of ndarray of float32, shape (time, case)
        """
        arrays = [np.atleast_2d(x) for x in given]
        kinds = list(zip(arrays, self.inputs, strict=True))
        hours = max(len(x) for x, kind in kinds if kind != "n")
        cases = max(x.shape[1] for x in arrays)
        if any(len(x) > 1 and x.shape[1] > 1 for x, kind in kinds if kind in "hc"):
            return self._by_slabs(arrays, night)
        laid = [_laid(x, kind, hours, cases) for x, kind in kinds]
        out = tuple(np.empty((hours, cases), np.float32) for _ in range(self.results))
        row = np.zeros(hours, np.int64) if night is None else night

        def run(part: tuple[int, int]) -> None:
            self(*laid, *out, row, *part)

        edges = np.linspace(0, hours, 1 + _parts(hours * cases)).astype(int)
        share_out(run, pairwise(edges.tolist()))
        return out

    def _by_slabs(
        self, arrays: list[NDArray[Any]], night: NDArray[np.int64] | None
    ) -> tuple[Float, ...]:
        """Return the formula itself of arrays, slab by slab."""
        for k, kind in enumerate(self.inputs):
            if kind == "n" and night is not None:
                arrays[k] = arrays[k][night]
            arrays[k] = arrays[k].astype(np.float32, copy=False)
        hours = max(map(len, arrays))
        hourly = [k for k, x in enumerate(arrays) if len(x) == hours]

        def formula(*parts: Float) -> Any:
            some = dict(zip(hourly, parts, strict=True))
            found = self.formula(*(some.get(k, x) for k, x in enumerate(arrays)))
            return found if self.results > 1 else (found,)

        wide = max(x.shape[1] for x in arrays)
        given = (arrays[k] for k in hourly)
        return several_by_slabs(formula, self.results, *given, cases=wide)


def _parts(values: int) -> int:
    """Return in how many parts threads share the work on so many values."""
    return 1 if is_single_threaded() else 1 + min(4 * THREADS, values // _WORTH_SHARING)


def _laid(x: NDArray[Any], kind: str, hours: int, cases: int) -> NDArray[Any]:
    """Return an input as the loop takes it."""
    shape: tuple[int, ...]
    if kind == "h":
        x, shape = x[:, 0], (hours,)
    elif kind == "c":
        x, shape = x[0], (cases,)
    else:
        shape = (hours if kind == "f" else len(x), cases)
    # What is spread has no place of its own and would be copied.
    return plain_array(x if x.shape == shape else np.broadcast_to(x, shape), np.float32)
