"""Volumes in r and z as pieces of the kernel: the whole interior.

Ring volumes are numbered from the axis outwards, then upwards; each has a record of
rows. The matrix of an hour is symmetric and banded (half-width: the volumes of a
layer), and is factored once as L D L' (Golub & Van Loan 2013, Matrix Computations,
4.3.5); every stage of the march solves with it directly, so that nothing is split
between r and z. The half-width is known when the code is compiled (`band` is a tuple of
that length).

Ice: after each step the heat of a volume beyond its freezing point goes into or comes
from its ice (enthalpy method), so that a freezing volume stands still at `FREEZING_C`.
"""

from __future__ import annotations

from climrisk.physics.pieces import inlined
from climrisk.pot.kernel.simd_layout import (
    AXIS,
    BEHIND,
    FINAL,
    FIRST,
    FREEZING_C,
    GAMMA,
    LANES,
    LAST_LANE,
    LATER,
    MEAN,
    NOW,
    SKIN,
    SLOPE,
    VAPOR,
    WETNESS,
    u,
)
from climrisk.pot.kernel.volume_rows import (
    ABOVE,
    ABOVE_THAWED,
    AREA,
    BAND,
    BESIDE,
    BESIDE_THAWED,
    CAPACITY,
    EARLY,
    EVAPORATED,
    EVERY,
    FLOOR,
    FULL,
    HALF,
    HELD,
    ICE,
    INVERSE,
    LATE,
    LATENT,
    LIFT,
    LOSS,
    RIGHT,
    RUN_OFF,
    SHARE,
    SINCE,
    STIFFER,
    SUMS,
    THAWED,
    TOP,
    TOP_AREA,
    WALL,
    WALL_AREA,
    WATERED,
    WELL,
    T,
)


@inlined
def summarize(w, n_r, n_z, at0, size, kind):  # type: ignore[no-untyped-def]
    """Fill mean, axis (middle height, by a parabola), and what lies behind."""
    zero = kind(0)
    for c in range(LAST_LANE):
        w[u(MEAN) + c] = zero
        w[u(BEHIND) + c] = zero
        w[u(BEHIND + LANES) + c] = zero
    for i in range(n_r * n_z):
        at = at0 + i * size
        for c in range(LAST_LANE):
            w[u(MEAN) + c] += w[u(at + SHARE) + c] * w[u(at + T) + c]
    for j in range(n_z):
        at = at0 + (j * n_r + n_r - 1) * size
        for c in range(LAST_LANE):
            w[u(BEHIND) + c] += w[u(at + WALL) + c] * w[u(at + T) + c]
    for i in range(n_r):
        at = at0 + ((n_z - 1) * n_r + i) * size
        for c in range(LAST_LANE):
            w[u(BEHIND + LANES) + c] += w[u(at + TOP) + c] * w[u(at + T) + c]
    lower, upper = at0 + (n_z - 1) // 2 * n_r * size, at0 + n_z // 2 * n_r * size
    near, far = kind(0.5 * 1.125), kind(0.5 * 0.125)
    for c in range(LAST_LANE):
        w[u(BEHIND) + c] /= w[u(SUMS) + c]
        w[u(BEHIND + LANES) + c] /= w[u(SUMS + LANES) + c]
        inner = w[u(lower + T) + c] + w[u(upper + T) + c]
        beside = w[u(lower + size + T) + c] + w[u(upper + size + T) + c]
        w[u(AXIS) + c] = near * inner - far * beside


@inlined
def with_ice(w, n, width, at0, size, kind):  # type: ignore[no-untyped-def]
    """Let capacities and conductances follow the ice, at the start of an hour.

    A changed capacity keeps the heat against the freezing point.
    """
    one, half, freezing = kind(1), kind(0.5), kind(FREEZING_C)
    for i in range(n):
        at = at0 + i * size
        for c in range(LAST_LANE):
            capacity = w[u(at + THAWED) + c] - w[u(at + LOSS) + c] * w[u(at + ICE) + c]
            t = w[u(at + T) + c] - freezing
            w[u(at + T) + c] = freezing + t * w[u(at + CAPACITY) + c] / capacity
            w[u(at + CAPACITY) + c] = capacity
    for i in range(n):
        at = at0 + i * size
        for c in range(LAST_LANE):
            here = w[u(at + STIFFER) + c] * w[u(at + ICE) + c]
            out = w[u(at + size + STIFFER) + c] * w[u(at + size + ICE) + c]
            over = at + width * size
            up = w[u(over + STIFFER) + c] * w[u(over + ICE) + c]
            w[u(at + BESIDE) + c] = w[u(at + BESIDE_THAWED) + c] * (
                one + half * (here + out)
            )
            w[u(at + ABOVE) + c] = w[u(at + ABOVE_THAWED) + c] * (
                one + half * (here + up)
            )


@inlined
def edges(w, n_r, n_z, at0, size):  # type: ignore[no-untyped-def]
    """Turn the balances of the surfaces into sources and lifts of the volumes.

    The balance is a line about the mean of its side; each volume takes part with its
    own conductance and temperature.
    """
    for i in range(n_r * n_z):
        at = at0 + i * size
        for c in range(LAST_LANE):
            g = w[u(at + FLOOR) + c]
            w[u(at + EARLY) + c] = g * w[u(NOW + 7 * LANES) + c]
            w[u(at + LATE) + c] = g * w[u(LATER + 7 * LANES) + c]
            w[u(at + LIFT) + c] = g
    for j in range(n_z):
        at = at0 + (j * n_r + n_r - 1) * size
        for c in range(LAST_LANE):
            g, area = w[u(at + WALL) + c], w[u(at + WALL_AREA) + c]
            slope = w[u(SLOPE) + c]
            into = g * area / (g - area * slope)
            w[u(at + EARLY) + c] += into * w[u(FIRST) + c]
            w[u(at + LATE) + c] += into * w[u(FINAL) + c]
            w[u(at + LIFT) + c] -= into * slope
    for i in range(n_r):
        at = at0 + ((n_z - 1) * n_r + i) * size
        for c in range(LAST_LANE):
            g, area = w[u(at + TOP) + c], w[u(at + TOP_AREA) + c]
            slope = w[u(SLOPE + LANES) + c]
            into = g * area / (g - area * slope)
            w[u(at + EARLY) + c] += into * w[u(FIRST + LANES) + c]
            w[u(at + LATE) + c] += into * w[u(FINAL + LANES) + c]
            w[u(at + LIFT) + c] -= into * slope


@inlined
def factor(w, n, band, at0, size, kind):  # type: ignore[no-untyped-def]
    """Factor the banded matrix of an hour."""
    width, one = len(band), kind(1)
    lower = BAND + width * LANES
    for i in range(n):
        at = at0 + i * size
        inner, under = at - size, at - width * size
        for c in range(LAST_LANE):
            diagonal = (
                w[u(at + CAPACITY) + c]
                + w[u(at + LIFT) + c]
                + w[u(at + BESIDE) + c]
                + w[u(inner + BESIDE) + c]
                + w[u(at + ABOVE) + c]
                + w[u(under + ABOVE) + c]
            )
            for k in range(width):
                d = width - k
                entry = kind(0)
                if d == width:
                    entry -= w[u(under + ABOVE) + c]
                if d == 1:
                    entry -= w[u(inner + BESIDE) + c]
                for e in range(d + 1, width + 1):
                    before = at - d * size + lower + (e - d - 1) * LANES
                    entry -= w[u(at + BAND + (e - 1) * LANES) + c] * w[u(before) + c]
                w[u(at + BAND + (d - 1) * LANES) + c] = entry
            for d in range(1, width + 1):
                entry = w[u(at + BAND + (d - 1) * LANES) + c]
                share = entry * w[u(at - d * size + INVERSE) + c]
                w[u(at + lower + (d - 1) * LANES) + c] = share
                diagonal -= entry * share
            w[u(at + INVERSE) + c] = one / diagonal


@inlined
def stage(w, n, band, at0, size, middle, target, part, kind):  # type: ignore[no-untyped-def]
    """One implicit stage over the volumes, forwards and back."""
    width, again = len(band), kind((1.0 - GAMMA) / GAMMA)
    lower = BAND + width * LANES
    for i in range(n):
        at = at0 + i * size
        for c in range(LAST_LANE):
            source, t = w[u(at + EARLY) + c], w[u(at + T) + c]
            known = w[u(at + CAPACITY) + c] * (t + again * (w[u(at + middle) + c] - t))
            known += source + part * (w[u(at + LATE) + c] - source)
            for d in range(1, width + 1):
                share = w[u(at + lower + (d - 1) * LANES) + c]
                known -= share * w[u(at - d * size + RIGHT) + c]
            w[u(at + RIGHT) + c] = known
    for k in range(n):
        at = at0 + (n - 1 - k) * size
        for c in range(LAST_LANE):
            known = w[u(at + RIGHT) + c] * w[u(at + INVERSE) + c]
            for d in range(1, width + 1):
                after = at + d * size
                share = w[u(after + lower + (d - 1) * LANES) + c]
                known -= share * w[u(after + target) + c]
            w[u(at + target) + c] = known


@inlined
def freeze(w, n, at0, size, kind):  # type: ignore[no-untyped-def]
    """Move heat between temperature and ice."""
    one, freezing = kind(1), kind(FREEZING_C)
    for i in range(n):
        at = at0 + i * size
        for c in range(LAST_LANE):
            ice, t = w[u(at + ICE) + c], w[u(at + T) + c]
            capacity, latent = w[u(at + CAPACITY) + c], w[u(at + LATENT) + c]
            more = capacity * (freezing - t) / latent
            more = max(-ice, min(one - ice, more))
            w[u(at + ICE) + c] = ice + more
            w[u(at + T) + c] = t + more * latent / capacity


@inlined
def near_freezing(w, n, at0, size, kind):  # type: ignore[no-untyped-def]
    """Return whether some volume has ice or is near it.

    One that passes the point from further off freezes an hour late; no heat is lost.
    """
    coldest, most = kind(100), kind(0)
    for i in range(n):
        at = at0 + i * size
        for c in range(LAST_LANE):
            coldest = min(coldest, w[u(at + T) + c])
            most = max(most, w[u(at + ICE) + c])
    return coldest < kind(3) or most > kind(0)


@inlined
def drink(w, kind):  # type: ignore[no-untyped-def]
    """Book an hour's evaporation, dew and watering, and set the wetness anew."""
    one, zero = kind(1), kind(0)
    for c in range(LAST_LANE):
        lost = zero
        for side in range(2):
            row = side * LANES
            heat = kind(2.501e6) - kind(2361) * w[u(SKIN + row) + c]
            flux = w[u(VAPOR + row) + c] * w[u(AREA + row) + c] * kind(3600) / heat
            # Dew runs off a tight wall.
            lost += flux if w[u(WELL + row) + c] > zero else zero
        held = w[u(HELD) + c]
        lost = min(lost, held)
        held -= lost
        over = max(zero, held - w[u(FULL) + c])
        held -= over
        since = w[u(SINCE) + c] + one
        due = since >= w[u(EVERY) + c]
        poured = w[u(FULL) + c] - held if due else zero
        held += poured
        w[u(HELD) + c] = held
        w[u(SINCE) + c] = zero if due else since
        w[u(EVAPORATED) + c] += lost
        w[u(RUN_OFF) + c] += over
        w[u(WATERED) + c] += poured
        part = min(one, held / w[u(HALF) + c])
        w[u(WETNESS) + c] = part * w[u(WELL) + c]
        w[u(WETNESS + LANES) + c] = part * w[u(WELL + LANES) + c]


@inlined
def gain(w, n, at0, size, at_row, part, weight, out, begin, count):  # type: ignore[no-untyped-def]
    """Add the heat a stage took in through all surfaces. [J]"""
    for i in range(n):
        at = at0 + i * size
        for c in range(u(count)):
            source = w[u(at + EARLY) + c]
            source += part * (w[u(at + LATE) + c] - source)
            taken = source - w[u(at + LIFT) + c] * w[u(at + at_row) + c]
            out[u(begin) + c] += weight * taken
