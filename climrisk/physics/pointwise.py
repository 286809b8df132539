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
from climrisk.core.chunked import THREADS, is_single_threaded, share_out
from climrisk.core.compiled import Compiled, array_form, plain_array

#: Fewer values than this are not worth a thread's while.
_WORTH_SHARING = 200_000


def where(condition: Any, one: Any, other: Any) -> Any:
    """Return `one` where the condition holds, else `other`; both are computed."""
    return np.where(condition, one, other)


class Loop(Compiled):
    """The compiled loop of a pointwise formula over arrays of single precision.

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
        results: int,
        sources: tuple[str, ...],
    ) -> None:
        own = ("pieces", "pointwise", "vectors")
        super().__init__(
            formula.__module__,
            f"{formula.__name__}_{inputs}",
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
        """The types of its arguments."""
        given = (array_form("float32", 1 if k in "hc" else 2) for k in self.inputs)
        out = (array_form("float32", 2),) * self.results
        return (*given, *out, array_form("int64", 1), "int64", "int64")

    def laid(
        self, arrays: list[NDArray[Any]], hours: int, cases: int
    ) -> list[NDArray[Any]]:
        """Return inputs as the loop takes them."""
        out = []
        for x, kind in zip(arrays, self.inputs, strict=True):
            shape: tuple[int, ...] = (hours if kind == "f" else len(x), cases)
            if kind == "h":
                x, shape = x[:, 0], (hours,)
            elif kind == "c":
                x, shape = x[0], (cases,)
            # What is spread has no place of its own and would be copied.
            whole = x if x.shape == shape else np.broadcast_to(x, shape)
            out.append(plain_array(whole, np.float32))
        return out


class Pointwise:
    """A pointwise formula, compiled for arrays (time, case).

    With numpy each step of a formula writes an array; compiled, an hour is read once
    and what comes of it written once.

    Parameters
    ----------
    formula, results, sources
        As `Loop` takes them.
    inputs : str
        As `Loop` takes them, or ``p``: of hours where the cases are members of one
        place, and of shape (time, case) where they are places.
    """

    def __init__(
        self,
        formula: Callable[..., Any],
        inputs: str,
        results: int = 1,
        *,
        sources: tuple[str, ...] = (),
    ) -> None:
        self.of_members, self.of_places = (
            Loop(formula, inputs.replace("p", kind), results, sources) for kind in "hf"
        )

    def of(
        self, *given: NDArray[Any] | float, night: NDArray[np.int64] | None = None
    ) -> tuple[Float, ...]:
        """Return the formula of arrays.

        Parameters
        ----------
        *given : array_like
            Each of shape (time or 1, case or 1), or a number. NaN gives NaN as the
            formula does.
        night : ndarray of int, shape (time,), optional
            Row of the tables of nights for each hour.

        Returns
        -------
        tuple of ndarray of float32, shape (time, case)
        """
        arrays = [np.atleast_2d(x) for x in given]
        loop = self.of_members
        kinds = list(zip(arrays, loop.inputs, strict=True))
        if any(len(x) > 1 and x.shape[1] > 1 for x, kind in kinds if kind == "h"):
            loop = self.of_places
        hours = max(len(x) for x, kind in kinds if kind != "n")
        cases = max(x.shape[1] for x in arrays)
        laid = loop.laid(arrays, hours, cases)
        out = tuple(np.empty((hours, cases), np.float32) for _ in range(loop.results))
        row = np.zeros(hours, np.int64) if night is None else night

        def run(part: tuple[int, int]) -> None:
            loop(*laid, *out, row, *part)

        edges = np.linspace(0, hours, 1 + _parts(hours * cases)).astype(int)
        share_out(run, pairwise(edges.tolist()))
        return out


def _parts(values: int) -> int:
    """Return in how many parts threads share the work on so many values."""
    return 1 if is_single_threaded() else 1 + min(4 * THREADS, values // _WORTH_SHARING)
