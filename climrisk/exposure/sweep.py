"""The one pass over hourly values: hours, degree-hours, runs and nights at once.

Arrays are (time, case) with the case innermost, so that the compiler vectorizes over
cases; one read of the values serves every threshold.
"""

from __future__ import annotations

import numpy as np
from numba import njit


@njit(cache=True, nogil=True)
def sweep(  # type: ignore[no-untyped-def]  # noqa: C901 - one loop, seen whole
    values,
    group,
    night,
    day,
    dark,
    thresholds,
    inclusive,
    gaps,
    hours,
    degree_hours,
    unknown,
    run,
    longest,
    night_lowest,
    night_known,
    day_highest,
):
    """Fill the statistics of hourly values below thresholds, in place.

    Parameters
    ----------
    values : float array (time, case)
        NaN is unknown: it enters `unknown` and nothing else.
    group, night, day : int array (time,)
        Index of the month-of-year group, the night and the calendar day of each hour.
    dark : bool array (time,)
        Hours from sunset to an hour after sunrise.
    thresholds : float array (threshold,)
    inclusive : bool
        Count a value equal to the threshold.
    gaps : bool
        Whether any value is NaN; without, the three runs are one.
    hours, degree_hours : float32 array (group, threshold, case)
        Step sums: one hour per value below, and the depth below in K h.
    unknown : float32 array (group, case)
    run, longest : int32 array (3, threshold, case)
        Present and longest run of hours. Row 0: an unknown hour ends a run (low);
        row 1: it neither joins nor ends one (mid); row 2: it joins (high).
    night_lowest : float array (night, case), starting at +inf
    night_known : int16 array (night, case)
        Known dark hours of the night.
    day_highest : float array (day, case), starting at -inf
    """
    steps, cases = values.shape
    one, zero = np.int32(1), np.int32(0)
    for t in range(steps):
        x = values[t]
        lowest, highest = night_lowest[night[t]], day_highest[day[t]]
        known, lost = night_known[night[t]], unknown[group[t]]
        for c in range(cases):
            lowest[c] = x[c] if x[c] < lowest[c] else lowest[c]
            highest[c] = x[c] if x[c] > highest[c] else highest[c]
        if gaps:
            in_dark = np.int16(dark[t])
            for c in range(cases):
                is_known = x[c] == x[c]
                lost[c] += np.float32(0) if is_known else np.float32(1)
                known[c] += in_dark if is_known else np.int16(0)
        elif dark[t]:
            known += np.int16(1)
        for k in range(thresholds.size):
            limit = thresholds[k]
            count, depth = hours[group[t], k], degree_hours[group[t], k]
            mid, mid_best = run[1, k], longest[1, k]
            for c in range(cases):
                below = x[c] <= limit if inclusive else x[c] < limit
                count[c] += np.float32(1) if below else np.float32(0)
                depth[c] += limit - x[c] if below else np.float32(0)
            if not gaps:
                for c in range(cases):
                    below = x[c] <= limit if inclusive else x[c] < limit
                    mid[c] = mid[c] + one if below else zero
                    mid_best[c] = mid[c] if mid[c] > mid_best[c] else mid_best[c]
                continue
            low, low_best = run[0, k], longest[0, k]
            high, high_best = run[2, k], longest[2, k]
            for c in range(cases):
                below = x[c] <= limit if inclusive else x[c] < limit
                missing = x[c] != x[c]
                low[c] = low[c] + one if below else zero
                mid[c] = mid[c] + one if below else (mid[c] if missing else zero)
                high[c] = high[c] + one if below or missing else zero
                low_best[c] = low[c] if low[c] > low_best[c] else low_best[c]
                mid_best[c] = mid[c] if mid[c] > mid_best[c] else mid_best[c]
                high_best[c] = high[c] if high[c] > high_best[c] else high_best[c]


def allocate(  # noqa: D103 - private to the room
    groups: int, thresholds: int, cases: int, nights: int, days: int, dtype: type
) -> tuple[np.ndarray, ...]:
    shape = (groups, thresholds, cases)
    return (
        np.zeros(shape, np.float32),
        np.zeros(shape, np.float32),
        np.zeros((groups, cases), np.float32),
        np.zeros((3, thresholds, cases), np.int32),
        np.zeros((3, thresholds, cases), np.int32),
        np.full((nights, cases), np.inf, dtype),
        np.zeros((nights, cases), np.int16),
        np.full((days, cases), -np.inf, dtype),
    )
