"""Pointwise formulas over long arrays, a slab at a time, on two threads."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import NDArray

Float = NDArray[np.floating]

#: Values of a slab: its temporaries stay in the processor's cache.
_SLAB = 200_000
_THREADS = 2


def columns(x: NDArray[Any]) -> NDArray[Any]:
    """Return an array of hours (time,) as one column; (time, case) stays."""
    return x[:, None] if x.ndim == 1 else x


def by_slabs(formula: Callable[..., Float], *arrays: Float) -> Float:
    """Return a pointwise formula of arrays, computed slab by slab along time.

    Long temporaries cost more than the arithmetic: each is fetched from memory, and
    from the system when it is new.

    Parameters
    ----------
    formula : callable
        Of as many arrays; each row of its result depends on that row only.
    arrays : ndarray, shape (time, case) or (time, 1)

    Returns
    -------
    ndarray of float32, shape (time, case)
    """
    rows = len(arrays[0])
    cases = max(a.shape[1] for a in arrays)
    out = np.empty((rows, cases), np.float32)
    step = max(1, _SLAB // cases)

    def run(start: int) -> None:
        slab = slice(start, start + step)
        out[slab] = formula(*(a[slab] for a in arrays))

    with ThreadPoolExecutor(_THREADS) as pool:
        list(pool.map(run, range(0, rows, step)))
    return out
