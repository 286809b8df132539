"""The climate of a spot worked out inside the loop, hour by hour.

The formulas are those of the spot's own room; only the means over a day, which there
are sums of arrays, are kept up here from hour to hour.
"""

from __future__ import annotations

import numpy as np

from climrisk.pot.film import STRONGEST_WIND_M_S
from climrisk.pot.lanes import LANES, LAST_LANE, LATER, SPOT, inlined, single, u
from climrisk.pot.surfaces import saturation
from climrisk.spot.ingredients import MEAN_H
from climrisk.spot.radiation import longwave_at_spot, surroundings_at_spot
from climrisk.spot.sunlight import light_at_spot
from climrisk.sun import split_light

_light_at_spot = single(light_at_spot)
_longwave_at_spot = single(longwave_at_spot)
_split_light = single(split_light)
_surroundings_at_spot = single(surroundings_at_spot)

# Rows, in the order of `climrisk.spot.ingredients.ROWS`.
_AIR, _DEW, _WIND, _STATION, _SKY_DEW, _CLOUD, _GHI, _SINE, _SHARE, _WINDOW = (
    SPOT + k * LANES for k in range(10)
)
_WEIGHT, _OLD, _SUM, _WALL, _LIT_SUM = (SPOT + (10 + k) * LANES for k in range(5))
#: Light of the last hours on level ground, after its sum.
_RING = _LIT_SUM + LANES


@inlined
def _copied(w, target, source, row, begin, count):  # type: ignore[no-untyped-def]
    """Copy an hour of a block; spare lanes repeat the last case."""
    for c in range(u(count)):
        w[u(target) + c] = source[row, u(begin) + c]
    for c in range(u(count), u(LANES)):
        w[u(target) + c] = source[row, u(begin + count - 1)]


@inlined
def _light(w, spot, row, begin, count, kind):  # type: ignore[no-untyped-def]
    """Work out the light of an hour; keep it, and the sum over a day."""
    numbers = spot.numbers
    top, wall = numbers[0], numbers[1]
    kept = _RING + (row % MEAN_H) * LANES
    if spot.lit[row]:
        _copied(w, _GHI, spot.rows[6], row, begin, count)
        _copied(w, _SINE, spot.rows[7], row, begin, count)
        _copied(w, _SHARE, spot.rows[8], row, begin, count)
        for c in range(LAST_LANE):
            sine = w[u(_SINE) + c]
            beam, diffuse = _split_light(w[u(_GHI) + c], sine)
            cosine = np.sqrt(np.maximum(kind(1) - sine * sine, kind(0)))
            share = w[u(_SHARE) + c]
            on_wall, _, level = _light_at_spot(
                share, beam, diffuse, sine, cosine, top, wall
            )
            w[u(_WALL) + c] = on_wall
            w[u(_OLD) + c] = level
    else:
        for c in range(LAST_LANE):
            w[u(_WALL) + c] = kind(0)
            w[u(_OLD) + c] = kind(0)
    for c in range(LAST_LANE):
        level = w[u(_OLD) + c]
        w[u(_LIT_SUM) + c] += level - w[u(kept) + c]
        w[u(kept) + c] = level
    if row % MEAN_H == 0:  # anew once a day, so that rounding does not gather
        for c in range(LAST_LANE):
            w[u(_LIT_SUM) + c] = kind(0)
        for k in range(MEAN_H):
            for c in range(LAST_LANE):
                w[u(_LIT_SUM) + c] += w[u(_RING + k * LANES) + c]


@inlined
def _station(w, spot, row, begin, count):  # type: ignore[no-untyped-def]
    """Take the station's air of an hour into the sum over a day."""
    _copied(w, _STATION, spot.rows[3], row, begin, count)
    for c in range(LAST_LANE):
        w[u(_SUM) + c] += w[u(_STATION) + c]
    if row >= MEAN_H:
        _copied(w, _OLD, spot.rows[3], row - MEAN_H, begin, count)
        for c in range(LAST_LANE):
            w[u(_SUM) + c] -= w[u(_OLD) + c]
    if row % MEAN_H == 0:
        for c in range(LAST_LANE):
            w[u(_SUM) + c] = w[u(_STATION) + c]
        for k in range(1, min(MEAN_H, row + 1)):
            _copied(w, _OLD, spot.rows[3], row - k, begin, count)
            for c in range(LAST_LANE):
                w[u(_SUM) + c] += w[u(_OLD) + c]


@inlined
def begin_spot(w, spot, row, begin, count, kind):  # type: ignore[no-untyped-def]
    """Fill the sums over the day that ends with row `row` of the ingredients."""
    for k in range(u((1 + MEAN_H) * LANES)):
        w[u(_LIT_SUM) + k] = kind(0)
    for c in range(LAST_LANE):
        w[u(_SUM) + c] = kind(0)
    first = max(0, row - MEAN_H + 1)
    for r in range(first, row + 1):
        _light(w, spot, r, begin, count, kind)
        _copied(w, _OLD, spot.rows[3], r, begin, count)
        for c in range(LAST_LANE):
            w[u(_SUM) + c] += w[u(_OLD) + c]


@inlined
def tell_spot(w, spot, row, begin, count, kind):  # type: ignore[no-untyped-def]
    """Fill what arrives in the hour of row `row`, the one after those told so far."""
    rows, n = spot.rows, spot.numbers
    _light(w, spot, row, begin, count, kind)
    _station(w, spot, row, begin, count)
    _copied(w, _AIR, rows[0], row, begin, count)
    _copied(w, _DEW, rows[1], row, begin, count)
    _copied(w, _WIND, rows[2], row, begin, count)
    _copied(w, _SKY_DEW, rows[4], row, begin, count)
    _copied(w, _CLOUD, rows[5], row, begin, count)
    _copied(w, _WINDOW, rows[9], row, begin, count)
    _copied(w, _WEIGHT, spot.weight, spot.night[row], begin, count)
    winter, per = spot.winter[row], kind(1) / kind(min(row + 1, MEAN_H))
    leak, wall_slow, wall_ground, floor_slow, floor_ground = (
        n[2],
        n[3],
        n[4],
        n[5],
        n[6],
    )
    sky_wall, sky_top, lacking = n[7], n[8], n[9]
    for c in range(LAST_LANE):
        air, station = w[u(_AIR) + c], w[u(_STATION) + c]
        around, below = _surroundings_at_spot(
            air,
            station,
            w[u(_SUM) + c] * per,
            w[u(_LIT_SUM) + c] * per,
            winter,
            w[u(_WINDOW) + c],
            w[u(_WEIGHT) + c],
            leak,
            wall_slow,
            wall_ground,
            floor_slow,
            floor_ground,
        )
        on_wall, on_top = _longwave_at_spot(
            station,
            w[u(_SKY_DEW) + c],
            w[u(_CLOUD) + c],
            around,
            sky_wall,
            sky_top,
            lacking,
        )
        w[u(LATER) + c] = air
        w[u(LATER + LANES) + c] = saturation(np.minimum(w[u(_DEW) + c], air), kind)
        w[u(LATER + 3 * LANES) + c] = on_wall
        w[u(LATER + 4 * LANES) + c] = on_top
        w[u(LATER + 7 * LANES) + c] = below
    strongest = kind(STRONGEST_WIND_M_S)
    kept = _RING + (row % MEAN_H) * LANES
    for c in range(LAST_LANE):
        w[u(LATER + 2 * LANES) + c] = np.minimum(w[u(_WIND) + c], strongest)
        w[u(LATER + 5 * LANES) + c] = w[u(_WALL) + c]
        w[u(LATER + 6 * LANES) + c] = w[u(kept) + c]
