"""The one pass over hourly values: hours, degree-hours, runs and nights at once.

Arrays are (time, case) with the case innermost, so that the compiler vectorizes over
cases. The hours are taken in stretches that share night, day and month (half days, as a
rule): a stretch wholly above a threshold costs one comparison, and one wholly below it
no branches; only the rest is looked at hour by hour.
"""

from __future__ import annotations

import numpy as np

from climrisk.core.compiler_cache import cached_njit
from climrisk.physics.vectors import use_wide_vectors

use_wide_vectors()
_fast = cached_njit(nogil=True, error_model="numpy")
#: Fewer cases than this are taken one after the other, hours innermost.
_NARROW = 6


@_fast
def _extremes(values, a, b, first, low, high, lost):  # type: ignore[no-untyped-def]
    """Fill lowest, highest and count of unknown of a stretch; return their extremes."""
    width = low.size
    low[:], high[:], lost[:] = np.inf, -np.inf, 0
    if width < _NARROW:
        for c in range(width):
            least, most, missing = low[c], high[c], lost[c]
            for t in range(a, b):
                v = values[t, first + c]
                least = v if v < least else least
                most = v if v > most else most
                missing += v != v
            low[c], high[c], lost[c] = least, most, missing
    else:
        for t in range(a, b):
            x = values[t, first : first + width]
            for c in range(width):
                low[c] = x[c] if x[c] < low[c] else low[c]
                high[c] = x[c] if x[c] > high[c] else high[c]
                lost[c] += np.int32(x[c] != x[c])
    return low.min(), high.max(), lost.max()


@_fast
def _below(values, a, b, first, limit, inclusive, count, depth, run, best):  # type: ignore[no-untyped-def]
    """Count one threshold over a stretch without unknown hours."""
    one, zero = np.int32(1), np.int32(0)
    width = count.size
    if width < _NARROW:
        for c in range(width):
            n, k, r, m = count[c], depth[c], run[c], best[c]
            for t in range(a, b):
                v = values[t, first + c]
                below = v <= limit if inclusive else v < limit
                n += np.float32(1) if below else np.float32(0)
                k += limit - v if below else np.float32(0)
                r = r + one if below else zero
                m = r if r > m else m
            count[c], depth[c], run[c], best[c] = n, k, r, m
        return
    for t in range(a, b):
        x = values[t, first : first + width]
        for c in range(width):
            below = x[c] <= limit if inclusive else x[c] < limit
            count[c] += np.float32(1) if below else np.float32(0)
            depth[c] += limit - x[c] if below else np.float32(0)
            run[c] = run[c] + one if below else zero
            best[c] = run[c] if run[c] > best[c] else best[c]


@_fast
def _all_below(values, a, b, first, limit, count, depth, run, best):  # type: ignore[no-untyped-def]
    """Count one threshold over a stretch wholly below it; run, best (3, case)."""
    hours = np.int32(b - a)
    width = count.size
    for i in range(3):
        for c in range(width):
            run[i, c] += hours
            best[i, c] = run[i, c] if run[i, c] > best[i, c] else best[i, c]
    for c in range(width):
        count[c] += np.float32(hours)
    for t in range(a, b):
        x = values[t, first : first + width]
        for c in range(width):
            depth[c] += limit - x[c]


@_fast
def _with_gaps(values, a, b, first, limit, inclusive, count, depth, run, best):  # type: ignore[no-untyped-def]
    """Count one threshold over a stretch with unknown hours; run, best (3, case)."""
    one, zero = np.int32(1), np.int32(0)
    for t in range(a, b):
        x = values[t, first : first + count.size]
        for c in range(count.size):
            below = x[c] <= limit if inclusive else x[c] < limit
            missing = x[c] != x[c]
            count[c] += np.float32(1) if below else np.float32(0)
            depth[c] += limit - x[c] if below else np.float32(0)
            run[0, c] = run[0, c] + one if below else zero
            run[1, c] = run[1, c] + one if below else (run[1, c] if missing else zero)
            run[2, c] = run[2, c] + one if below or missing else zero
            for i in range(3):
                best[i, c] = run[i, c] if run[i, c] > best[i, c] else best[i, c]


@_fast
def sweep(  # type: ignore[no-untyped-def]  # noqa: C901 - one loop, seen whole
    values,
    edges,
    group,
    night,
    day,
    dark,
    thresholds,
    inclusive,
    gaps,
    first,
    hours,
    degree_hours,
    unknown,
    run,
    longest,
    night_lowest,
    night_lost,
    day_highest,
):
    """Fill the statistics of hourly values below thresholds, in place.

    Parameters
    ----------
    values : float array (time, all cases)
        NaN is unknown: it enters `unknown` and nothing else.
    edges : int array (stretch + 1,)
        Where stretches of one group, night and day begin; the last is the end.
    group, night, day : int array (stretch,)
        Index of the month-of-year group, the night and the calendar day of each.
    dark : bool array (time, 1), or (time, all cases) for many places
        Hours from sunset to an hour after sunrise.
    thresholds : float array (threshold,)
    inclusive : bool
        Count a value equal to the threshold.
    gaps : bool
        Whether any value may be NaN; without, the three runs are one.
    first : int
        The first of the cases that are taken; the arrays below have as many as are.
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

    Returns
    -------
    bool
        False, with nothing of use filled, where `gaps` was denied and a NaN was met.
    """
    width = unknown.shape[1]
    low, high = np.empty(width, values.dtype), np.empty(width, values.dtype)
    lost = np.empty(width, np.int32)
    for s in range(edges.size - 1):
        a, b = edges[s], edges[s + 1]
        least, most, missing = _extremes(values, a, b, first, low, high, lost)
        if missing and not gaps:
            return False
        lowest, highest = night_lowest[night[s]], day_highest[day[s]]
        for c in range(width):
            lowest[c] = low[c] if low[c] < lowest[c] else lowest[c]
            highest[c] = high[c] if high[c] > highest[c] else highest[c]
        if missing:
            in_dark = night_lost[night[s]]
            for c in range(width):
                unknown[group[s], c] += np.float32(lost[c])
                place = first + c if dark.shape[1] > 1 else 0
                for t in range(a, b):
                    v = values[t, first + c]
                    in_dark[c] += np.int16(dark[t, place] and v != v)
        for k in range(thresholds.size):
            limit = thresholds[k]
            count, depth = hours[group[s], k], degree_hours[group[s], k]
            if not missing:
                if least > limit or (least == limit and not inclusive):
                    run[k] = 0
                    continue
                if most < limit or (most == limit and inclusive):
                    _all_below(
                        values, a, b, first, limit, count, depth, run[k], longest[k]
                    )
                    continue
            if gaps:
                _with_gaps(
                    values, a, b, first, limit, inclusive, count, depth, run[k],
                    longest[k],
                )  # fmt: skip
            else:
                _below(
                    values, a, b, first, limit, inclusive, count, depth, run[k, 1],
                    longest[k, 1],
                )  # fmt: skip
    return True


def allocate(  # noqa: D103 - private to the room
    groups: int, thresholds: int, cases: int, nights: int, days: int, dtype: type
) -> tuple[np.ndarray, ...]:
    shape = (groups, thresholds, cases)
    return (
        np.zeros(shape, np.float32),
        np.zeros(shape, np.float32),
        np.zeros((groups, cases), np.float32),
        np.zeros((thresholds, 3, cases), np.int32),
        np.zeros((thresholds, 3, cases), np.int32),
        np.full((nights, cases), np.inf, dtype),
        np.zeros((nights, cases), np.int16),
        np.full((days, cases), -np.inf, dtype),
    )
