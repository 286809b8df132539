"""The climate of a spot worked out inside the loop, hour by hour.

The formulas are those of the spot's own room, compiled from their own text; only means
over days and nights, which there are sums of arrays, are kept up here from hour to
hour. An hour that is *told* is the next one: the pot marches from the present hour to
it.
"""

from __future__ import annotations

import numpy as np

from climrisk.physics.pieces import inlined, single
from climrisk.pot.film import STRONGEST_WIND_M_S
from climrisk.pot.kernel.simd_layout import LANES, LAST_LANE, LATER, u
from climrisk.pot.kernel.spot_night import begin_night, turn
from climrisk.pot.kernel.spot_rows import (
    AIR,
    BASE,
    BASE_SUM,
    BEYOND,
    CLOUD,
    CLOUD_STEP,
    DAMPER_K,
    DAMPING,
    DAY_K,
    DEW,
    EVENING,
    FLOOR_GROUND,
    FLOOR_SLOW,
    GHI,
    GLASS_SKY,
    GLASS_TOP,
    GLASS_WALL,
    HELD,
    LACKING,
    LATER_HOURS,
    LATER_PART,
    LEAK_K,
    LIT_SUM,
    MORE_K,
    NEW,
    OLD,
    PANE,
    PANE_BY_NIGHT,
    SHELTER,
    SKY_DEW,
    SKY_TOP,
    SKY_WALL,
    STATION,
    SUM,
    TOP,
    UPRIGHT,
    VENT_C,
    VENTED,
    WALL,
    WALL_GROUND,
    WALL_SLOW,
    WARMED_K,
    WEIGHT,
    WIND,
    WIND_STEP,
    WINTER,
    copied,
)
from climrisk.pot.kernel.spot_sums import tell_light, tell_sums
from climrisk.pot.kernel.surfaces import saturation
from climrisk.spot.air import damped, sunlit_air, unlit_air
from climrisk.spot.kernel_inputs import MEAN_H
from climrisk.spot.nightly import window_at
from climrisk.spot.radiation import (
    beside_air,
    ground_excess_k,
    longwave_at_spot,
    pane_excess_k,
    pane_excess_w_m2,
    slow_excess_k,
)
from climrisk.spot.wind import slowed

_beside_air = single(beside_air)
_damped = single(damped)
_ground_excess_k = single(ground_excess_k)
_longwave_at_spot = single(longwave_at_spot)
_pane_excess_k = single(pane_excess_k)
_pane_excess_w_m2 = single(pane_excess_w_m2)
_slow_excess_k = single(slow_excess_k)
_slowed = single(slowed)
_sunlit_air = single(sunlit_air)
_unlit_air = single(unlit_air)
_window_at = single(window_at)


@inlined
def tell_spot(  # type: ignore[no-untyped-def]
    w, base, dew, wind, station, sky_dew, cloud, ghi, share, hourly, night, still,
    place, steps, n, row, anew, begin, count, kind,
):  # fmt: skip
    """Fill what arrives in the hour of row `row`, the one after those told so far.

    Where nothing is kept of the hours before, or of others, it is made `anew`.
    """
    since = row
    if anew:
        since -= MEAN_H - 1
        for k in range(3):
            copied(w, UPRIGHT + k * LANES, place, k, begin, count)
    for r in range(since, row + 1):
        turn(w, hourly, r, kind)
        tell_light(w, ghi, share, hourly, steps, n, r, begin, count, kind)
    if anew or night[u(row)] != night[u(row - 1)]:
        begin_night(
            w, station, wind, cloud, hourly, night, still, steps, n, row, begin, count,
            kind,
        )  # fmt: skip
    tell_sums(w, base, station, steps, row, anew, begin, count, kind)
    copied(w, BASE, base, row - steps[LATER_HOURS], begin, count)
    copied(w, OLD, base, row - steps[LATER_HOURS] - 1, begin, count)
    copied(w, DEW, dew, row, begin, count)
    copied(w, WIND, wind, row * steps[WIND_STEP], begin, count)
    copied(w, SKY_DEW, sky_dew, row, begin, count)
    copied(w, CLOUD, cloud, row * steps[CLOUD_STEP], begin, count)
    _air(w, hourly[u(row), u(EVENING)], n, kind)
    _surfaces(w, hourly[u(row), u(WINTER)], n, kind)


@inlined
def _air(w, evening, n, kind):  # type: ignore[no-untyped-def]
    """Work out the air at the spot, its moisture and its wind; leave the window."""
    later, damping, shelter = n[u(LATER_PART)], n[u(DAMPING)], n[u(SHELTER)]
    day, more, warmed, damper = (
        n[u(DAY_K)],
        n[u(MORE_K)],
        n[u(WARMED_K)],
        n[u(DAMPER_K)],
    )
    vent, vented = n[u(VENT_C)], n[u(VENTED)]
    sooner, per = kind(1) - later, kind(1.0 / MEAN_H)
    strongest = kind(STRONGEST_WIND_M_S)
    for c in range(LAST_LANE):
        air = sooner * w[u(BASE) + c] + later * w[u(OLD) + c]
        mean = sooner * w[u(BASE_SUM + LANES) + c] + later * w[u(BASE_SUM) + c]
        air = _damped(air, mean * per, damping)
        window = _window_at(
            w[u(HELD) + c],
            w[u(HELD + LANES) + c],
            w[u(HELD + 2 * LANES) + c],
            w[u(HELD + 3 * LANES) + c],
            w[u(HELD + 4 * LANES) + c],
        )
        w[u(NEW) + c] = window
        unlit = _unlit_air(
            air, w[u(BEYOND) + c], window, evening, w[u(WEIGHT) + c], day, more
        )
        w[u(AIR) + c] = _sunlit_air(unlit, w[u(GHI) + c], warmed, vent, vented)
    for c in range(LAST_LANE):
        air = w[u(AIR) + c]
        w[u(LATER) + c] = air
        w[u(LATER + LANES) + c] = saturation(
            np.minimum(w[u(DEW) + c] + damper, air), kind
        )
        wind = _slowed(w[u(WIND) + c], shelter)
        w[u(LATER + 2 * LANES) + c] = np.minimum(wind, strongest)


@inlined
def _surfaces(w, winter, n, kind):  # type: ignore[no-untyped-def]
    """Work out longwave, sunlight and the floor, of the air and the window."""
    leak, per = n[u(LEAK_K)], kind(1.0 / MEAN_H)
    wall_slow, wall_ground = n[u(WALL_SLOW)], n[u(WALL_GROUND)]
    floor_slow, floor_ground = n[u(FLOOR_SLOW)], n[u(FLOOR_GROUND)]
    pane, pane_by_night = n[u(PANE)], n[u(PANE_BY_NIGHT)]
    sky_wall, sky_top, lacking = n[u(SKY_WALL)], n[u(SKY_TOP)], n[u(LACKING)]
    for c in range(LAST_LANE):
        station = w[u(STATION) + c]
        air, window = w[u(AIR) + c], w[u(NEW) + c]
        slow = _slow_excess_k(
            station, w[u(SUM) + c] * per, w[u(LIT_SUM) + c] * per, winter, leak
        )
        ground = _ground_excess_k(w[u(WEIGHT) + c], window)
        around = _beside_air(air, slow, ground, wall_slow, wall_ground)
        around += _pane_excess_k(air, station, window, pane, pane_by_night)
        on_wall, on_top = _longwave_at_spot(
            station,
            w[u(SKY_DEW) + c],
            w[u(CLOUD) + c],
            around,
            sky_wall,
            sky_top,
            lacking,
        )
        w[u(OLD) + c] = around
        w[u(LATER + 3 * LANES) + c] = on_wall
        w[u(LATER + 4 * LANES) + c] = on_top
        w[u(LATER + 7 * LANES) + c] = _beside_air(
            air, slow, ground, floor_slow, floor_ground
        )
    glass_wall, glass_top, glass_sky = (
        n[u(GLASS_WALL)],
        n[u(GLASS_TOP)],
        n[u(GLASS_SKY)],
    )
    if glass_wall + glass_top > kind(0):
        for c in range(LAST_LANE):
            more = _pane_excess_w_m2(
                w[u(AIR) + c],
                w[u(STATION) + c],
                w[u(SKY_DEW) + c],
                w[u(CLOUD) + c],
                w[u(WIND) + c],
                w[u(OLD) + c],
                glass_sky,
            )
            w[u(LATER + 3 * LANES) + c] += glass_wall * more
            w[u(LATER + 4 * LANES) + c] += glass_top * more
    for c in range(LAST_LANE):
        w[u(LATER + 5 * LANES) + c] = w[u(WALL) + c]
        w[u(LATER + 6 * LANES) + c] = w[u(TOP) + c]
