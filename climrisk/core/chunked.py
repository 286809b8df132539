"""Pointwise formulas over long arrays, a slab at a time, on two threads."""

from __future__ import annotations

import os
import threading
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from contextlib import contextmanager
from contextvars import copy_context
from typing import Any, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float

#: Values of a slab: its temporaries stay in the processor's cache. Two threads that
#: share the work hand the interpreter to each other between steps, which costs more
#: than the farther cache of longer slabs.
_SLAB_ALONE, _SLAB_SHARED = 50_000, 200_000
THREADS = 2
Result = TypeVar("Result")
_state = threading.local()


def columns(x: NDArray[Any]) -> NDArray[Any]:
    """Return an array of hours (time,) as one column; (time, case) stays."""
    return x[:, None] if x.ndim == 1 else x


def is_known(x: NDArray[Any]) -> bool:
    """Whether nothing is NaN; true of an empty array."""
    # The least of numbers among which one is NaN is NaN: one look, nothing written.
    return x.size == 0 or not np.isnan(x.min())


def by_slabs(
    formula: Callable[..., Float], *arrays: NDArray[Any], cases: int = 1
) -> Float:
    """Return a pointwise formula of arrays, computed slab by slab along time.

    Long temporaries cost more than the arithmetic: each is fetched from memory, and
    from the system when it is new.

    Parameters
    ----------
    formula : callable
        Of as many arrays; each row of its result depends on that row only.
    arrays : ndarray, shape (time, case) or (time, 1)
    cases : int
        Columns of the result at least, where no array has as many.

    Returns
    -------
    ndarray of float32, shape (time, case)
    """

    def only(*parts: NDArray[Any]) -> tuple[Float]:
        return (formula(*parts),)

    return several_by_slabs(only, 1, *arrays, cases=cases)[0]


def several_by_slabs(
    formula: Callable[..., Sequence[Float]],
    results: int,
    *arrays: NDArray[Any],
    cases: int = 1,
) -> tuple[Float, ...]:
    """Return several pointwise formulas of the same arrays; see `by_slabs`."""
    rows = len(arrays[0])
    cases = max(cases, *(a.shape[1] for a in arrays))
    out = tuple(np.empty((rows, cases), np.float32) for _ in range(results))
    step = max(1, (_SLAB_ALONE if is_single_threaded() else _SLAB_SHARED) // cases)

    def run(start: int) -> None:
        slab = slice(start, start + step)
        for whole, part in zip(out, formula(*(a[slab] for a in arrays)), strict=True):
            whole[slab] = part

    share_out(run, range(0, rows, step))
    return out


def share_out(run: Callable[[Any], Result], parts: Iterable[Any]) -> list[Result]:
    """Run a function on parts, on two threads except where `single_threaded`.

    One of them is the caller's: while the other is busy elsewhere, all parts run here.
    """
    parts = list(parts)
    if is_single_threaded() or len(parts) == 1:
        return [run(part) for part in parts]
    results: dict[int, Result] = {}
    left = deque(enumerate(parts))

    def work() -> None:
        with single_threaded():
            while left:
                try:
                    place, part = left.popleft()
                except IndexError:  # the other thread has just taken the last
                    return
                results[place] = run(part)

    helper = _pools_here().helper.submit(work)
    try:
        work()
    finally:
        if not helper.cancel():
            helper.result()
    return [results[i] for i in range(len(parts))]


def in_background(run: Callable[[], Result]) -> Callable[[], Result]:
    """Start something on a thread of its own; return what waits for its result.

    It may share out its parts. What it raises is raised where its result is asked for.
    """
    if is_single_threaded():
        result = run()
        return lambda: result
    return _pools_here().background.submit(copy_context().run, run).result


class _Pools(NamedTuple):
    """The threads of a process: those that help with parts, and the background's."""

    helper: ThreadPoolExecutor
    background: ThreadPoolExecutor


#: By the number of the process: a forked one has none of its parent's threads.
_pools: dict[int, _Pools] = {}


def _pools_here() -> _Pools:
    """Return the threads of this process.

    They are kept: starting some for each formula takes a tenth of an answer.
    """
    number = os.getpid()
    if number not in _pools:
        _pools.clear()
        _pools[number] = _Pools(ThreadPoolExecutor(THREADS - 1), ThreadPoolExecutor(1))
    return _pools[number]


def is_single_threaded() -> bool:
    """Whether this thread does its work by itself."""
    return bool(getattr(_state, "single", False))


@contextmanager
def single_threaded() -> Iterator[None]:
    """Let this thread do its work by itself: others have theirs."""
    before = getattr(_state, "single", False)
    _state.single = True
    try:
        yield
    finally:
        _state.single = before


def night_sums(values: NDArray[Any], first: NDArray[np.int64]) -> Float:
    """Return float32 sums over nights that begin at some rows, shape (night, case).

    All nights but the first and last have 24 hours, so most of it is one reshape.
    """
    edges = np.append(first, len(values))
    # Marks are counted in bytes, a night has no more than 25 hours or so.
    kind: type = np.float32
    if values.dtype == bool:
        values, kind = values.view(np.uint8), np.uint8
    out = np.zeros((len(first), values.shape[1]), np.float32)
    inner = slice(1, len(first) - 1)
    if len(first) > 2 and (np.diff(first)[1:] == 24).all():
        middle = values[first[1] : first[-1]].reshape(-1, 24, values.shape[1])
        out[inner] = middle.sum(axis=1, dtype=kind)
        ends: tuple[int, ...] = (0, len(first) - 1)
    else:
        ends = tuple(range(len(first)))
    for i in ends:
        out[i] = values[edges[i] : edges[i + 1]].sum(axis=0, dtype=kind)
    return out
