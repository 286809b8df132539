"""Where a condition holds without a break."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def spans(holds: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Return (first, stop) of every unbroken run of true values."""
    padded = np.concatenate([[False], holds, [False]]).astype(np.int8)
    edges = np.flatnonzero(np.diff(padded))
    return list(zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True))
