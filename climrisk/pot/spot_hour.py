"""The climate of a spot worked out inside the loop, hour by hour.

The formulas are those of the spot's own room; only the means over a day, which there
are sums of arrays, are kept up here from hour to hour.
"""

from __future__ import annotations

import numpy as np

from climrisk.pot.film import STRONGEST_WIND_M_S
from climrisk.pot.lanes import (
    HEAD,
    LANES,
    LAST_LANE,
    LATER,
    SPOT,
    inlined,
    single,
    u,
)
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
_WEIGHT, _OLD, _SUM, _WALL, _TOP, _LIT_SUM = (SPOT + (10 + k) * LANES for k in range(6))
#: Light of the last hours on level ground, after its sum.
_RING = _LIT_SUM + LANES
assert _RING + MEAN_H * LANES == HEAD, "SPOT_ROWS does not fit the rows of a spot"


@inlined
def _copied(w, target, source, row, begin, count):  # type: ignore[no-untyped-def]
    """Copy an hour of a block; spare lanes repeat the last case."""
    for c in range(u(count)):
        w[u(target) + c] = source[u(row), u(begin) + c]
    for c in range(u(count), u(LANES)):
        w[u(target) + c] = source[u(row), u(begin + count - 1)]


@inlined
def _kept(w, row, kind):  # type: ignore[no-untyped-def]
    """Take the light of an hour into the sum over a day."""
    kept = _RING + (row % MEAN_H) * LANES
    # A row that is chosen while running is only copied: what is worked on stands in
    # rows that the compiler knows, or it would not know what overlaps.
    for c in range(LAST_LANE):
        w[u(_OLD) + c] = w[u(kept) + c]
    for c in range(LAST_LANE):
        w[u(kept) + c] = w[u(_TOP) + c]
    for c in range(LAST_LANE):
        w[u(_LIT_SUM) + c] += w[u(_TOP) + c] - w[u(_OLD) + c]
    if row % MEAN_H == 0:  # anew once a day, so that rounding does not gather
        for c in range(LAST_LANE):
            w[u(_LIT_SUM) + c] = kind(0)
        for k in range(MEAN_H):
            for c in range(LAST_LANE):
                w[u(_LIT_SUM) + c] += w[u(_RING + k * LANES) + c]


@inlined
def _light(  # type: ignore[no-untyped-def]
    w, ghi, sine_rows, shares, steps, lit, n, row, begin, count, kind
):
    """Work out the light of an hour; keep it, and the sum over a day."""
    top, wall = n[0], n[1]
    if lit[u(row)]:
        _copied(w, _GHI, ghi, row, begin, count)
        _copied(w, _SINE, sine_rows, row, begin, count)
        _copied(w, _SHARE, shares, row * steps[1], begin, count)
        for c in range(LAST_LANE):
            sine = w[u(_SINE) + c]
            beam, diffuse = _split_light(w[u(_GHI) + c], sine)
            cosine = np.sqrt(np.maximum(kind(1) - sine * sine, kind(0)))
            share = w[u(_SHARE) + c]
            on_wall, _, level = _light_at_spot(
                share, beam, diffuse, sine, cosine, top, wall
            )
            w[u(_WALL) + c] = on_wall
            w[u(_TOP) + c] = level
    else:
        for c in range(LAST_LANE):
            w[u(_WALL) + c] = kind(0)
            w[u(_TOP) + c] = kind(0)
    _kept(w, row, kind)


@inlined
def _station(w, station, row, begin, count):  # type: ignore[no-untyped-def]
    """Take the station's air of an hour into the sum over a day."""
    _copied(w, _STATION, station, row, begin, count)
    for c in range(LAST_LANE):
        w[u(_SUM) + c] += w[u(_STATION) + c]
    if row >= MEAN_H:
        _copied(w, _OLD, station, row - MEAN_H, begin, count)
        for c in range(LAST_LANE):
            w[u(_SUM) + c] -= w[u(_OLD) + c]
    if row % MEAN_H == 0:
        for c in range(LAST_LANE):
            w[u(_SUM) + c] = w[u(_STATION) + c]
        for k in range(1, min(MEAN_H, row + 1)):
            _copied(w, _OLD, station, row - k, begin, count)
            for c in range(LAST_LANE):
                w[u(_SUM) + c] += w[u(_OLD) + c]


@inlined
def begin_spot(  # type: ignore[no-untyped-def]
    w, station, ghi, sine_rows, shares, steps, lit, n, row, begin, count, kind
):
    """Fill the sums over the day that ends with row `row` of the ingredients."""
    for k in range(u((1 + MEAN_H) * LANES)):
        w[u(_LIT_SUM) + k] = kind(0)
    for c in range(LAST_LANE):
        w[u(_SUM) + c] = kind(0)
    first = max(0, row - MEAN_H + 1)
    for r in range(first, row + 1):
        _light(w, ghi, sine_rows, shares, steps, lit, n, r, begin, count, kind)
        _copied(w, _OLD, station, r, begin, count)
        for c in range(LAST_LANE):
            w[u(_SUM) + c] += w[u(_OLD) + c]


@inlined
def tell_spot(  # type: ignore[no-untyped-def]
    w,
    air_rows,
    dew,
    wind,
    station_rows,
    sky_dew,
    cloud,
    ghi,
    sine_rows,
    shares,
    window,
    steps,
    lit,
    winters,
    weight,
    n,
    row,
    night,
    begin,
    count,
    kind,
):
    """Fill what arrives in the hour of row `row`, the one after those told so far."""
    _light(w, ghi, sine_rows, shares, steps, lit, n, row, begin, count, kind)
    _station(w, station_rows, row, begin, count)
    _copied(w, _AIR, air_rows, row, begin, count)
    _copied(w, _DEW, dew, row, begin, count)
    _copied(w, _WIND, wind, row * steps[0], begin, count)
    _copied(w, _SKY_DEW, sky_dew, row, begin, count)
    _copied(w, _CLOUD, cloud, row, begin, count)
    _copied(w, _WINDOW, window, row, begin, count)
    _copied(w, _WEIGHT, weight, night, begin, count)
    winter, per = winters[u(row)], kind(1) / kind(min(row + 1, MEAN_H))
    leak, wall_slow, wall_ground, floor_slow = n[2], n[3], n[4], n[5]
    floor_ground, sky_wall, sky_top, lacking, damper = n[6], n[7], n[8], n[9], n[10]
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
        w[u(LATER + LANES) + c] = saturation(
            np.minimum(w[u(_DEW) + c] + damper, air), kind
        )
        w[u(LATER + 3 * LANES) + c] = on_wall
        w[u(LATER + 4 * LANES) + c] = on_top
        w[u(LATER + 7 * LANES) + c] = below
    strongest = kind(STRONGEST_WIND_M_S)
    for c in range(LAST_LANE):
        w[u(LATER + 2 * LANES) + c] = np.minimum(w[u(_WIND) + c], strongest)
        w[u(LATER + 5 * LANES) + c] = w[u(_WALL) + c]
        w[u(LATER + 6 * LANES) + c] = w[u(_TOP) + c]
