"""The one pass over hourly values: hours, degree-hours, runs and nights at once.

Arrays are (time, case) with the case innermost. `climrisk.exposure.sweep_loop` is what
is compiled; it is imported only where its machine code is not on the disk yet.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np

from climrisk.core.compiled import Compiled

#: Cases that the loop counts together, and hours that it takes at once.
LANES, HALF_DAY = 64, 12
#: Fewer cases than this are taken one after the other, so many thresholds together.
NARROW, FEW = 6, 16
_SCRATCH = max(3 * LANES, 5 * FEW)
SWEEP = Compiled(
    "climrisk.exposure.sweep_loop",
    "run_sweep",
    [
        *("climrisk.exposure.sweep_loop", "climrisk.exposure.sweep"),
        *("climrisk.physics.vectors", "climrisk.core.compiler_cache"),
    ],
)


class Filled(NamedTuple):
    """What a pass fills, of so many cases as it takes.

    Parameters
    ----------
    hours, degree_hours : float32 array (group, threshold, case)
        Step sums: one hour per value below, and the depth below in K h.
    unknown : float32 array (group, case)
    run, longest : int32 array (threshold, 3, case)
        Present and longest run of hours. Row 0: an unknown hour ends a run (low);
        row 1: it neither joins nor ends one (mid); row 2: it joins (high).
    night_lowest : float array (night, case), starting at +inf
    night_lost : int16 array (night, case)
        Unknown dark hours of the night.
    day_highest : float array (day, case), starting at -inf
    """

    hours: np.ndarray
    degree_hours: np.ndarray
    unknown: np.ndarray
    run: np.ndarray
    longest: np.ndarray
    night_lowest: np.ndarray
    night_lost: np.ndarray
    day_highest: np.ndarray


def sweep(  # noqa: PLR0913
    values: Any,
    stretches: tuple[Any, Any, Any, Any],
    dark: Any,
    thresholds: Any,
    first: int,
    filled: Filled,
    *,
    inclusive: bool,
    gaps: bool,
    turned: bool = False,
) -> bool:
    """Fill the statistics of hourly values below thresholds, in place.

    Parameters
    ----------
    values : float array (time, all cases)
        NaN is unknown: it enters `unknown` and nothing else.
    stretches : int arrays (stretch + 1,), (stretch,), (stretch,), (stretch,)
        Where stretches of one group, night and day begin, and the end of the last;
        index of the month-of-year group, the night and the calendar day of each.
    dark : bool array (time, 1), or (time, all cases) for many places
        Hours from sunset to an hour after sunrise.
    thresholds : float array (threshold,)
    first : int
        The first of the cases that are taken.
    filled : Filled
    inclusive : bool
        Count a value equal to the threshold.
    gaps : bool
        Whether any value may be NaN; without, the three runs are one.
    turned : bool
        Take the values with their sign turned.

    Returns
    -------
    bool
        False, with nothing of use filled, where `gaps` was denied and a NaN was met.
    """
    sign = values.dtype.type(-1 if turned else 1)
    return bool(
        SWEEP(
            *(
                values,
                sign,
                *stretches,
                dark,
                thresholds,
                inclusive,
                gaps,
                first,
                *filled,
            ),
            np.zeros(_SCRATCH, values.dtype),
        )
    )


def allocate(
    groups: int, thresholds: int, cases: int, nights: int, days: int, dtype: type
) -> Filled:
    """Return the arrays of a pass as they are before it."""
    shape = (groups, thresholds, cases)
    return Filled(
        np.zeros(shape, np.float32),
        np.zeros(shape, np.float32),
        np.zeros((groups, cases), np.float32),
        np.zeros((thresholds, 3, cases), np.int32),
        np.zeros((thresholds, 3, cases), np.int32),
        np.full((nights, cases), np.inf, dtype),
        np.zeros((nights, cases), np.int16),
        np.full((days, cases), -np.inf, dtype),
    )
