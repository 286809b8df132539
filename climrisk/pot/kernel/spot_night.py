"""The nights of a spot inside the loop: when they are dark, and of which kind."""

from __future__ import annotations

import numpy as np

from climrisk.physics.pieces import inlined, single
from climrisk.physics.solar import has_set
from climrisk.pot.kernel.simd_layout import LANES, LAST_LANE, u
from climrisk.pot.kernel.spot_rows import (
    BEYOND,
    CLOUD,
    CLOUD_KNOWN,
    CLOUD_STEP,
    DAY_K,
    HELD,
    NEW,
    NIGHT_SUMS,
    OLD,
    SINE,
    STATION,
    WEIGHT,
    WIND,
    WIND_KNOWN,
    WIND_STEP,
    WINDY_K,
    copied,
    filled,
    moved,
    sine,
)
from climrisk.spot.air import beyond_day_k
from climrisk.spot.regimes import FALL_H, weight_at

_beyond_day_k = single(beyond_day_k)
_has_set = single(has_set)
_weight_at = single(weight_at)
_HOURS, _WIND_SUM, _CLOUD_SUM, _FALL = (NIGHT_SUMS + k * LANES for k in range(4))
# While a night is told, the sines that the window keeps are put aside.
_NOW, _BEFORE, _EARLIER = OLD, NEW, WEIGHT


@inlined
def turn(w, hourly, row, kind):  # type: ignore[no-untyped-def]
    """Let an hour pass for the window of the night, to that of row `row`."""
    for k in range(4):
        moved(w, SINE + k * LANES, SINE + (k + 1) * LANES)
        moved(w, HELD + k * LANES, HELD + (k + 1) * LANES)
    sine(w, SINE + 4 * LANES, hourly, row + 2)
    for c in range(LAST_LANE):
        # Night is held until three hours after the last hour without sun: the hour
        # after sunrise is dark, and two more are held.
        lowest = np.minimum(w[u(SINE + LANES) + c], w[u(SINE + 2 * LANES) + c])
        lowest = np.minimum(lowest, w[u(SINE + 3 * LANES) + c])
        lowest = np.minimum(lowest, w[u(SINE + 4 * LANES) + c])
        w[u(HELD + 4 * LANES) + c] = kind(1) if _has_set(lowest) else kind(0)


@inlined
def write_dark(w, dark, t, begin, count):  # type: ignore[no-untyped-def]
    """Write whether the present hour, the one before the hour told, is dark."""
    for c in range(u(count)):
        lower = np.minimum(w[u(SINE) + c], w[u(SINE + LANES) + c])
        dark[t, u(begin) + c] = _has_set(lower)


@inlined
def begin_night(  # type: ignore[no-untyped-def]
    w, station, wind, cloud, hourly, night, still, steps, n, row, begin, count, kind
):
    """Tell the kind of the night that row `row` belongs to, from all its hours."""
    first, last = row, row + 1
    while first > 0 and night[u(first - 1)] == night[u(row)]:
        first -= 1
    while last < len(night) and night[u(last)] == night[u(row)]:
        last += 1
    for k in range(3):
        filled(w, NIGHT_SUMS + k * LANES, kind(0))
    filled(w, _FALL, kind(np.nan))
    sine(w, _EARLIER, hourly, first - 2)
    sine(w, _BEFORE, hourly, first - 1)
    wind_known, cloud_known = n[u(WIND_KNOWN)], n[u(CLOUD_KNOWN)]
    by_fall = wind_known * cloud_known == kind(0)
    for r in range(first, last):
        sine(w, _NOW, hourly, r)
        if by_fall:
            _fall(w, station, r, begin, count)
        copied(w, WIND, wind, r * steps[WIND_STEP], begin, count)
        copied(w, CLOUD, cloud, r * steps[CLOUD_STEP], begin, count)
        for c in range(LAST_LANE):
            lower = np.minimum(w[u(_NOW) + c], w[u(_BEFORE) + c])
            dark = kind(1) if _has_set(lower) else kind(0)
            w[u(_HOURS) + c] += dark
            w[u(_WIND_SUM) + c] += dark * w[u(WIND) + c]
            w[u(_CLOUD_SUM) + c] += dark * w[u(CLOUD) + c]
        moved(w, _EARLIER, _BEFORE)
        moved(w, _BEFORE, _NOW)
    of_night, windy, day = still[u(night[u(row)])], n[u(WINDY_K)], n[u(DAY_K)]
    for c in range(LAST_LANE):
        # Nothing over nothing, where no hour is dark or known, is unknown.
        hours = w[u(_HOURS) + c]
        of_wind, of_cloud = hours * wind_known, hours * cloud_known
        by_wind = w[u(_WIND_SUM) + c] * wind_known / of_wind
        by_cloud = w[u(_CLOUD_SUM) + c] * cloud_known / of_cloud
        weight = _weight_at(by_wind, by_cloud, w[u(_FALL) + c])
        w[u(WEIGHT) + c] = weight
        w[u(BEYOND) + c] = _beyond_day_k(weight, of_night, windy, day)


@inlined
def _fall(w, station, row, begin, count):  # type: ignore[no-untyped-def]
    """Keep how far the air falls from an hour that is the first dark one."""
    starts = False
    for c in range(LAST_LANE):
        sets = _has_set(w[u(_NOW) + c])
        starts |= sets and not _has_set(w[u(_BEFORE) + c])
    if starts:
        copied(w, STATION, station, row, begin, count)
        copied(w, WIND, station, row + FALL_H, begin, count)
        for c in range(LAST_LANE):
            before = np.minimum(w[u(_BEFORE) + c], w[u(_EARLIER) + c])
            starts = _has_set(w[u(_NOW) + c]) and not _has_set(before)
            fall = w[u(STATION) + c] - w[u(WIND) + c]
            w[u(_FALL) + c] = fall if starts else w[u(_FALL) + c]
