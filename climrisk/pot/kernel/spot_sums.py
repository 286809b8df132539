"""Sums over a day that a spot's surroundings and air follow, kept from hour to hour."""

from __future__ import annotations

import numpy as np

from climrisk.physics.pieces import inlined, single
from climrisk.physics.solar import split_light
from climrisk.pot.kernel.simd_layout import LANES, LAST_LANE, u
from climrisk.pot.kernel.spot_rows import (
    BASE_SUM,
    DIFFUSE_TOP,
    DIFFUSE_WALL,
    GHI,
    LATER_HOURS,
    LIT_SUM,
    NEW,
    OLD,
    RING,
    SHADING_ABOVE,
    SHADING_TAKES,
    SHARE,
    SHARE_STEP,
    STATION,
    SUM,
    TOP,
    WALL,
    copied,
    filled,
    moved,
    sine,
)
from climrisk.spot.kernel_inputs import MEAN_H
from climrisk.spot.sunlight import light_at_spot, shading_left

_light_at_spot = single(light_at_spot)
_shading_left = single(shading_left)
_split_light = single(split_light)
#: Hours of a mean that lie ahead of its middle.
_AHEAD_H = MEAN_H // 2


@inlined
def tell_sums(  # type: ignore[no-untyped-def]
    w, base, station, steps, row, anew, begin, count, kind
):
    """Take the hour of row `row` into the sums of air; fill its station.

    The sums are made anew where nothing is kept yet, and once a day, so that rounding
    does not gather.
    """
    last = row + _AHEAD_H - steps[LATER_HOURS]
    if anew or row % MEAN_H == 0:
        _summed(w, BASE_SUM + LANES, base, last - 1, begin, count, kind)
        _summed(w, SUM, station, row - 1, begin, count, kind)
    moved(w, BASE_SUM, BASE_SUM + LANES)
    _moved_on(w, BASE_SUM + LANES, base, last, begin, count)
    _moved_on(w, SUM, station, row, begin, count)
    moved(w, STATION, NEW)


@inlined
def _summed(w, target, source, last, begin, count, kind):  # type: ignore[no-untyped-def]
    """Sum the hours of a day that ends with row `last`."""
    filled(w, target, kind(0))
    for r in range(last - MEAN_H + 1, last + 1):
        copied(w, NEW, source, r, begin, count)
        for c in range(LAST_LANE):
            w[u(target) + c] += w[u(NEW) + c]


@inlined
def _moved_on(w, target, source, last, begin, count):  # type: ignore[no-untyped-def]
    """Let a sum end an hour later, with row `last`, which stays behind."""
    copied(w, NEW, source, last, begin, count)
    copied(w, OLD, source, last - MEAN_H, begin, count)
    for c in range(LAST_LANE):
        w[u(target) + c] += w[u(NEW) + c] - w[u(OLD) + c]


@inlined
def tell_light(  # type: ignore[no-untyped-def]
    w, ghi, share, hourly, steps, n, row, begin, count, kind
):
    """Work out the light of an hour; keep it, and the sum over a day.

    The light outdoors is left as shading leaves it.
    """
    top, wall = n[u(DIFFUSE_TOP)], n[u(DIFFUSE_WALL)]
    above, takes = n[u(SHADING_ABOVE)], n[u(SHADING_TAKES)]
    copied(w, GHI, ghi, row, begin, count)
    lit = False
    for c in range(LAST_LANE):
        lit |= w[u(GHI) + c] > kind(0)
    if lit:
        copied(w, SHARE, share, row * steps[SHARE_STEP], begin, count)
        sine(w, NEW, hourly, row)
        for c in range(LAST_LANE):
            height = np.maximum(w[u(NEW) + c], kind(0))
            light = w[u(GHI) + c]
            beam, diffuse = _split_light(light, height)
            left = _shading_left(light, above, takes)
            w[u(GHI) + c] = left * light
            cosine = np.sqrt(np.maximum(kind(1) - height * height, kind(0)))
            on_wall, level = _light_at_spot(
                w[u(SHARE) + c], left * beam, left * diffuse, height, cosine, top, wall
            )
            w[u(WALL) + c] = on_wall
            w[u(TOP) + c] = level
    else:
        filled(w, WALL, kind(0))
        filled(w, TOP, kind(0))
    slot = RING + (row % MEAN_H) * LANES
    # A row that is chosen while running is only copied: what is worked on stands in
    # rows that the compiler knows, or it would not know what overlaps.
    moved(w, OLD, slot)
    moved(w, slot, TOP)
    for c in range(LAST_LANE):
        w[u(LIT_SUM) + c] += w[u(TOP) + c] - w[u(OLD) + c]
    if row % MEAN_H == 0:
        filled(w, LIT_SUM, kind(0))
        for k in range(MEAN_H):
            for c in range(LAST_LANE):
                w[u(LIT_SUM) + c] += w[u(RING + k * LANES) + c]
