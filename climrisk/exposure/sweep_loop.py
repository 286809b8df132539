"""The one pass over hourly values, compiled: see `climrisk.exposure.sweep`.

The hours are taken in stretches that share night, day and month: half days, as a rule.
A stretch wholly above a threshold costs one comparison, and one wholly below it no
branches; only the rest is looked at hour by hour. The compiler writes the twelve hours
of half a day out and takes as many cases at once as a vector holds, or as many
thresholds where there are few cases.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from climrisk.core.compiler_cache import cached_njit
from climrisk.exposure.sweep import FEW, HALF_DAY, LANES, NARROW
from climrisk.physics.vectors import use_wide_vectors

use_wide_vectors()
_options: dict[str, Any] = {"nogil": True, "error_model": "numpy"}
_inlined = njit(inline="always", **_options)

u = np.uint64
_ONE, _ZERO, _INF = np.float32(1), np.float32(0), np.float32(np.inf)
_FEW = np.uint64(FEW)
# Rows of cases: extremes and sum of a stretch. Rows of thresholds, for one case: their
# values, count, depth, present and longest run.
_LOW, _HIGH, _TOTAL = 0, LANES, 2 * LANES
_LIMIT, _COUNT, _DEPTH, _RUN, _BEST = (k * FEW for k in range(5))


@_inlined
def _extremes(values, sign, a, hours, first, begin, count, w):  # type: ignore[no-untyped-def]
    """Fill lowest and highest of each case; return how many have unknown hours."""
    for c in range(u(count)):
        low, high, total = _INF, -_INF, _ZERO
        for t in range(hours):
            v = sign * values[u(a + t), u(first + begin) + c]
            low = v if v < low else low
            high = v if v > high else high
            total += v  # unknown if one of them is: one sum in place of a comparison
        w[u(_LOW) + c], w[u(_HIGH) + c], w[u(_TOTAL) + c] = low, high, total
    lost = 0
    for c in range(u(count)):
        lost += 1 if w[u(_TOTAL) + c] != w[u(_TOTAL) + c] else 0
    return lost


@_inlined
def _crossing(w, count, limit, inclusive):  # type: ignore[no-untyped-def]
    """Return how many cases of a stretch are below a threshold at times, and always."""
    some, always = 0, 0
    for c in range(u(count)):
        low, high = w[u(_LOW) + c], w[u(_HIGH) + c]
        some += 1 if (low <= limit if inclusive else low < limit) else 0
        always += 1 if (high <= limit if inclusive else high < limit) else 0
    return some, always


@_inlined
def _below(  # type: ignore[no-untyped-def]
    values, sign, a, span, first, begin, count, limit, inclusive, hours, degree_hours,
    g, k,
):  # fmt: skip
    """Count the hours below a threshold and their depth, hour by hour."""
    for c in range(u(count)):
        at = u(begin) + c
        counted, depth = hours[g, k, at], degree_hours[g, k, at]
        for t in range(span):
            v = sign * values[u(a + t), u(first) + at]
            below = v <= limit if inclusive else v < limit
            counted += _ONE if below else _ZERO
            # As the sum is stored: in single precision, hour after hour.
            depth = np.float32(depth + (limit - v if below else _ZERO))
        hours[g, k, at], degree_hours[g, k, at] = counted, depth


@_inlined
def _all_below(  # type: ignore[no-untyped-def]
    values, sign, a, span, first, begin, count, limit, hours, degree_hours, g, k
):
    """Count hours that all cases spend below a threshold."""
    for c in range(u(count)):
        at = u(begin) + c
        depth = degree_hours[g, k, at]
        for t in range(span):
            depth = np.float32(depth + (limit - sign * values[u(a + t), u(first) + at]))
        hours[g, k, at] += np.float32(span)
        degree_hours[g, k, at] = depth


@_inlined
def _runs(  # type: ignore[no-untyped-def]
    values, sign, a, span, first, begin, count, limit, inclusive, run, longest, k, i
):
    """Carry on the present and the longest run; unknown hours end, pass over or join.

    `i` is which of the three.
    """
    one, zero = np.int32(1), np.int32(0)
    for c in range(u(count)):
        at = u(begin) + c
        present, best = run[k, i, at], longest[k, i, at]
        for t in range(span):
            v = sign * values[u(a + t), u(first) + at]
            below = v <= limit if inclusive else v < limit
            present = present + one if below else zero
            best = present if present > best else best
        run[k, i, at], longest[k, i, at] = present, best


@_inlined
def _longer(span, begin, count, run, longest, k, i):  # type: ignore[no-untyped-def]
    """Carry on runs of cases that stay below."""
    for c in range(u(count)):
        at = u(begin) + c
        present = run[k, i, at] + np.int32(span)
        best = longest[k, i, at]
        run[k, i, at] = present
        longest[k, i, at] = present if present > best else best


@_inlined
def _with_gaps(  # type: ignore[no-untyped-def]
    values, sign, a, span, first, limit, inclusive, hours, degree_hours, run, longest,
    g, k, c,
):  # fmt: skip
    """Count one threshold over a stretch of one case with unknown hours."""
    one, zero = np.int32(1), np.int32(0)
    for t in range(span):
        v = sign * values[u(a + t), u(first) + c]
        below = v <= limit if inclusive else v < limit
        missing = v != v
        hours[g, k, c] += _ONE if below else _ZERO
        degree_hours[g, k, c] += limit - v if below else _ZERO
        low, mid, high = run[k, 0, c], run[k, 1, c], run[k, 2, c]
        run[k, 0, c] = low + one if below else zero
        run[k, 1, c] = mid + one if below else (mid if missing else zero)
        run[k, 2, c] = high + one if below or missing else zero
        for i in range(3):
            present, best = run[k, i, c], longest[k, i, c]
            longest[k, i, c] = present if present > best else best


@_inlined
def _lost_hours(values, dark, a, span, case, unknown, night_lost, g, n, c):  # type: ignore[no-untyped-def]
    """Count unknown hours of a stretch of one case, and how many of them are dark."""
    place = case if dark.shape[1] > 1 else u(0)
    for t in range(span):
        v = values[u(a + t), case]
        unknown[g, c] += _ONE if v != v else _ZERO
        night_lost[n, c] += np.int16(dark[u(a + t), place] and v != v)


@_inlined
def _widely(  # type: ignore[no-untyped-def]  # noqa: C901
    values, sign, edges, group, night, day, dark, thresholds, inclusive, gaps, first,
    hours, degree_hours, unknown, run, longest, night_lowest, night_lost,
    day_highest, w,
):  # fmt: skip
    """Sweep with cases as lanes."""
    width, whole = unknown.shape[1], True
    since, until = (0, 3) if gaps else (1, 2)  # of the three runs
    for s in range(edges.size - 1):
        a, span = edges[s], edges[s + 1] - edges[s]
        g, n, d = u(group[s]), u(night[s]), u(day[s])
        for begin in range(0, width, LANES):
            count = min(LANES, width - begin)
            if span == HALF_DAY:
                lost = _extremes(values, sign, a, HALF_DAY, first, begin, count, w)
            else:
                lost = _extremes(values, sign, a, span, first, begin, count, w)
            for c in range(u(count)):
                low, high, at = w[u(_LOW) + c], w[u(_HIGH) + c], u(begin) + c
                lowest, highest = night_lowest[n, at], day_highest[d, at]
                night_lowest[n, at] = low if low < lowest else lowest
                day_highest[d, at] = high if high > highest else highest
            if lost:
                whole = whole and gaps
                for c in range(begin, begin + count):
                    _lost_hours(
                        values, dark, a, span, u(first + c), unknown, night_lost,
                        g, n, u(c),
                    )  # fmt: skip
            for threshold in range(thresholds.size):
                k, limit = u(threshold), thresholds[threshold]
                if lost:
                    for c in range(begin, begin + count):
                        _with_gaps(
                            values, sign, a, span, first, limit, inclusive, hours,
                            degree_hours, run, longest, g, k, u(c),
                        )  # fmt: skip
                    continue
                some, always = _crossing(w, count, limit, inclusive)
                if some and span != HALF_DAY:
                    _below(
                        values, sign, a, span, first, begin, count, limit, inclusive,
                        hours, degree_hours, g, k,
                    )  # fmt: skip
                elif some and always == count:
                    _all_below(
                        values, sign, a, HALF_DAY, first, begin, count, limit,
                        hours, degree_hours, g, k,
                    )  # fmt: skip
                elif some:
                    _below(
                        values, sign, a, HALF_DAY, first, begin, count, limit,
                        inclusive, hours, degree_hours, g, k,
                    )  # fmt: skip
                for which in range(since, until):
                    i = u(which)
                    if not some:
                        for c in range(u(count)):
                            run[k, i, u(begin) + c] = 0
                    elif always == count:
                        _longer(span, begin, count, run, longest, k, i)
                    elif span == HALF_DAY:
                        _runs(
                            values, sign, a, HALF_DAY, first, begin, count, limit,
                            inclusive, run, longest, k, i,
                        )  # fmt: skip
                    else:
                        _runs(
                            values, sign, a, span, first, begin, count, limit,
                            inclusive, run, longest, k, i,
                        )  # fmt: skip
        if not whole:
            break
    return whole


@_inlined
def _by_threshold(values, sign, a, case, high, inclusive, gaps, w):  # type: ignore[no-untyped-def]
    """Count half a day of one case; the lanes are thresholds.

    Depths are summed in the precision of the values, and in single precision from
    stretch to stretch; where all hours are below or may be unknown, from hour to hour.
    """
    for k in range(_FEW):
        count, depth = (
            np.float32(w[u(_COUNT) + k]),
            np.float32(w[u(_DEPTH) + k]),
        )
        run, best, limit = w[u(_RUN) + k], w[u(_BEST) + k], w[u(_LIMIT) + k]
        hourly = gaps or (high <= limit if inclusive else high < limit)
        for t in range(HALF_DAY):
            v = sign * values[u(a + t), u(case)]
            below = v <= limit if inclusive else v < limit
            count += _ONE if below else _ZERO
            more = depth + (limit - v if below else _ZERO)
            depth = np.float32(more) if hourly else more
            run = run + _ONE if below else _ZERO
            best = run if run > best else best
        w[u(_COUNT) + k], w[u(_DEPTH) + k] = count, np.float32(depth)
        w[u(_RUN) + k], w[u(_BEST) + k] = run, best


@_inlined
def _gathered(w, row, source, i, begin, count, c):  # type: ignore[no-untyped-def]
    """Copy what thresholds have of a case into the block."""
    for k in range(count):
        w[u(row + k)] = source[u(i), u(begin + k), u(c)]


@_inlined
def _scattered(w, row, target, i, begin, count, c):  # type: ignore[no-untyped-def]
    """Copy what thresholds have of a case back."""
    for k in range(count):
        target[u(i), u(begin + k), u(c)] = w[u(row + k)]


@_inlined
def _by_hour(v, inclusive, gaps, which, w):  # type: ignore[no-untyped-def]
    """Count an hour of one case that may be unknown; the lanes are thresholds."""
    missing = v != v
    for k in range(_FEW):
        limit, run = w[u(_LIMIT) + k], w[u(_RUN) + k]
        below = v <= limit if inclusive else v < limit
        w[u(_COUNT) + k] += _ONE if below else _ZERO
        depth = w[u(_DEPTH) + k] + (limit - v if below else _ZERO)
        w[u(_DEPTH) + k] = np.float32(depth) if gaps else depth
        passed_over = run if which == 1 else (run + _ONE if which == 2 else _ZERO)
        run = run + _ONE if below else (passed_over if missing else _ZERO)
        best = w[u(_BEST) + k]
        w[u(_RUN) + k] = run
        w[u(_BEST) + k] = run if run > best else best


@_inlined
def _narrowly(  # type: ignore[no-untyped-def]  # noqa: C901
    values, sign, edges, group, night, day, dark, thresholds, inclusive, gaps, first,
    hours, degree_hours, unknown, run, longest, night_lowest, night_lost,
    day_highest, w,
):  # fmt: skip
    """Sweep one case after the other, with thresholds as lanes."""
    limits, stretches, whole = thresholds.size, edges.size - 1, True
    for c in range(unknown.shape[1]):
        case = first + c
        for begin in range(0, max(1, limits), FEW):
            count = min(FEW, limits - begin)
            top = -_INF
            for k in range(FEW):
                # Spare lanes are of a threshold that nothing is below.
                limit = thresholds[begin + k] if k < count else -_INF
                top = max(top, limit)
                w[u(_LIMIT + k)] = limit
            for which in range(3):
                if not (gaps or which == 1):
                    continue
                once = which == 1
                for k in range(count):
                    w[u(_RUN + k)] = run[begin + k, which, c]
                    w[u(_BEST + k)] = longest[begin + k, which, c]
                g = group[0]
                _gathered(w, _COUNT, hours, g, begin, count, c)
                _gathered(w, _DEPTH, degree_hours, g, begin, count, c)
                for s in range(stretches):
                    a, span = edges[s], edges[s + 1] - edges[s]
                    low, high, lost = _INF, -_INF, np.int32(0)
                    for t in range(span):
                        v = sign * values[u(a + t), u(case)]
                        low, high = v if v < low else low, v if v > high else high
                        lost += np.int32(v != v)
                    if lost and not gaps:
                        whole = False
                        break
                    if once and begin == 0:
                        n, d = u(night[s]), u(day[s])
                        night_lowest[n, c] = min(night_lowest[n, c], low)
                        day_highest[d, c] = max(day_highest[d, c], high)
                        if lost:
                            _lost_hours(
                                values, dark, a, span, u(case), unknown, night_lost,
                                u(group[s]), n, u(c),
                            )  # fmt: skip
                    if count == 0:
                        continue
                    if once and group[s] != g:
                        _scattered(w, _COUNT, hours, g, begin, count, c)
                        _scattered(w, _DEPTH, degree_hours, g, begin, count, c)
                        g = group[s]
                        _gathered(w, _COUNT, hours, g, begin, count, c)
                        _gathered(w, _DEPTH, degree_hours, g, begin, count, c)
                    if lost or span != HALF_DAY:
                        for t in range(span):
                            _by_hour(
                                sign * values[u(a + t), u(case)],
                                inclusive,
                                gaps,
                                which,
                                w,
                            )
                    elif low > top or (low == top and not inclusive):
                        for k in range(_FEW):
                            w[u(_RUN) + k] = _ZERO
                    else:
                        _by_threshold(values, sign, a, case, high, inclusive, gaps, w)
                if once:
                    _scattered(w, _COUNT, hours, g, begin, count, c)
                    _scattered(w, _DEPTH, degree_hours, g, begin, count, c)
                for k in range(count):
                    run[begin + k, which, c] = w[u(_RUN + k)]
                    longest[begin + k, which, c] = w[u(_BEST + k)]
    return whole


@cached_njit(apart=True, **_options)
def run_sweep(  # type: ignore[no-untyped-def]
    values, sign, edges, group, night, day, dark, thresholds, inclusive, gaps, first,
    hours, degree_hours, unknown, run, longest, night_lowest, night_lost,
    day_highest, w,
):  # fmt: skip
    """Fill the statistics of hourly values, see `climrisk.exposure.sweep`."""
    if unknown.shape[1] < NARROW:
        return _narrowly(
            values, sign, edges, group, night, day, dark, thresholds, inclusive, gaps,
            first, hours, degree_hours, unknown, run, longest, night_lowest,
            night_lost, day_highest, w,
        )  # fmt: skip
    return _widely(
        values, sign, edges, group, night, day, dark, thresholds, inclusive, gaps,
        first, hours, degree_hours, unknown, run, longest, night_lowest, night_lost,
        day_highest, w,
    )  # fmt: skip
