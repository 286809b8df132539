"""How pointwise formulas are written, so that one text serves arrays and loops.

A formula that is also put into a compiled loop takes and returns numbers or arrays,
works without a branch and in nothing but arithmetic, `np.minimum`, `np.maximum`,
`np.sqrt`, `np.isnan` and `where`.
"""

from __future__ import annotations

from typing import Any

import numpy as np


def where(condition: Any, one: Any, other: Any) -> Any:
    """Return `one` where the condition holds, else `other`; both are computed."""
    return np.where(condition, one, other)
