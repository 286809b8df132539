"""Shells of one layer as pieces of the kernel: the quick interior.

The flux of top and bottom is spread over the shells. Their number is known when the
code is compiled (`shares` is a tuple), so that loops over shells unroll and the
elimination stays in registers.

Water freezes and thaws after each step as in `climrisk.pot.kernel.volumes`, but
capacity and conductivity stay those of the thawed medium.
"""

from __future__ import annotations

from climrisk.physics.pieces import inlined
from climrisk.pot.kernel.column_rows import (
    COLDEST,
    EARLY,
    LATE,
    LATENT,
    LIFT,
    PER_CAPACITY,
    STATE,
)
from climrisk.pot.kernel.simd_layout import (
    AXIS,
    BEHIND,
    FINAL,
    FIRST,
    FREEZING_C,
    GAMMA,
    INNER,
    LANES,
    LAST_LANE,
    LATER,
    MEAN,
    NOW,
    SLOPE,
    YIELD,
    u,
)

_NEAR_C = 3.0


@inlined
def summarize(w, shares, kind):  # type: ignore[no-untyped-def]
    """Fill mean, axis (by a parabola through two shells), and what lies behind."""
    n = len(shares)
    share = STATE + 7 * n * LANES
    eighth = kind(0.125 if n > 1 else 0.0)
    beside = min(1, n - 1) * LANES
    for c in range(LAST_LANE):
        mean = w[u(share) + c] * w[u(STATE) + c]
        for i in range(1, n):
            mean += w[u(share + i * LANES) + c] * w[u(STATE + i * LANES) + c]
        w[u(MEAN) + c] = mean
        w[u(BEHIND + LANES) + c] = mean
        w[u(BEHIND) + c] = w[u(STATE + (n - 1) * LANES) + c]
    for c in range(LAST_LANE):
        inner = w[u(STATE) + c]
        w[u(AXIS) + c] = inner + eighth * (inner - w[u(STATE + beside) + c])


@inlined
def edges(w, gdt):  # type: ignore[no-untyped-def]
    """Turn the balances of the surfaces into sources and lifts of the shells."""
    for row in range(2):  # the top takes from every shell, the wall from the outer
        side = (1 - row) * LANES
        for c in range(LAST_LANE):
            g, slope = w[u(INNER + side) + c], w[u(SLOPE + side) + c]
            into = gdt * w[u(PER_CAPACITY + side) + c] * g * w[u(YIELD + side) + c]
            w[u(EARLY + row * LANES) + c] = into * w[u(FIRST + side) + c]
            w[u(LATE + row * LANES) + c] = into * w[u(FINAL + side) + c]
            w[u(LIFT + row * LANES) + c] = -into * slope
    for c in range(LAST_LANE):
        bottom = w[u(PER_CAPACITY + 2 * LANES) + c] * w[u(PER_CAPACITY + 3 * LANES) + c]
        bottom *= gdt
        w[u(EARLY) + c] += bottom * w[u(NOW + 7 * LANES) + c]
        w[u(LATE) + c] += bottom * w[u(LATER + 7 * LANES) + c]
        w[u(LIFT) + c] += bottom


@inlined
def factor(w, shares, kind):  # type: ignore[no-untyped-def]
    """Eliminate the tridiagonal matrix of an hour."""
    n, one = len(shares), kind(1)
    inverse, ratio = STATE + 3 * n * LANES, STATE + 4 * n * LANES
    inward, outward = STATE + 5 * n * LANES, STATE + 6 * n * LANES
    for c in range(LAST_LANE):
        every, share = w[u(LIFT) + c], kind(0)
        for i in range(n):
            into = w[u(inward + i * LANES) + c]
            out = w[u(outward + i * LANES) + c]
            row = one + into + out + every - into * share
            if i == n - 1:
                row += w[u(LIFT + LANES) + c]
            row = one / row
            share = out * row
            w[u(inverse + i * LANES) + c] = row
            w[u(ratio + i * LANES) + c] = share


@inlined
def stage(w, shares, middle, target, part, kind):  # type: ignore[no-untyped-def]
    """One implicit stage over the shells, from the axis outwards and back."""
    n, again = len(shares), kind((1.0 - GAMMA) / GAMMA)
    right, inverse = STATE + 2 * n * LANES, STATE + 3 * n * LANES
    ratio, inward = STATE + 4 * n * LANES, STATE + 5 * n * LANES
    for c in range(LAST_LANE):
        every = w[u(EARLY) + c]
        every += part * (w[u(LATE) + c] - every)
        outer = w[u(EARLY + LANES) + c]
        outer += part * (w[u(LATE + LANES) + c] - outer)
        known = kind(0)
        for i in range(n):
            before = w[u(STATE + i * LANES) + c]
            known = (
                before
                + again * (w[u(middle + i * LANES) + c] - before)
                + every
                + w[u(inward + i * LANES) + c] * known
            )
            if i == n - 1:
                known += outer
            known *= w[u(inverse + i * LANES) + c]
            w[u(right + i * LANES) + c] = known
        w[u(target + (n - 1) * LANES) + c] = known
        for j in range(1, n):
            i = n - 1 - j
            known = w[u(right + i * LANES) + c] + w[u(ratio + i * LANES) + c] * known
            w[u(target + i * LANES) + c] = known


@inlined
def gain(w, shares, at, part, weight, out, begin, count, kind):  # type: ignore[no-untyped-def]
    """Add the heat a stage took in through all surfaces, over the capacity. [K]"""
    n = len(shares)
    share = STATE + 7 * n * LANES
    for c in range(u(count)):
        mean = kind(0)
        for i in range(n):
            mean += w[u(share + i * LANES) + c] * w[u(at + i * LANES) + c]
        for row in range(2):
            source = w[u(EARLY + row * LANES) + c]
            source += part * (w[u(LATE + row * LANES) + c] - source)
            node = w[u(at + (n - 1) * LANES) + c] if row else mean
            some = w[u(share + (n - 1) * LANES) + c] if row else kind(1)
            taken = source - w[u(LIFT + row * LANES) + c] * node
            out[u(begin) + c] += weight * some * taken


@inlined
def near_freezing(w, shares, kind):  # type: ignore[no-untyped-def]
    """Return whether some shell holds ice or is near it; ice is never warmer.

    One that passes the point from further off freezes an hour late; no heat is lost.
    """
    near = False
    for c in range(LAST_LANE):
        coldest = w[u(STATE) + c]
        for i in range(1, len(shares)):
            t = w[u(STATE + i * LANES) + c]
            coldest = coldest if coldest < t else t
        w[u(COLDEST) + c] = coldest
    for c in range(LAST_LANE):
        near |= w[u(COLDEST) + c] < kind(_NEAR_C)
    return near


@inlined
def freeze(w, shares, kind):  # type: ignore[no-untyped-def]
    """Move heat between temperature and ice."""
    zero, one, freezing = kind(0), kind(1), kind(FREEZING_C)
    ice_row = STATE + 8 * len(shares) * LANES
    for i in range(len(shares)):
        for c in range(LAST_LANE):
            ice, t = w[u(ice_row + i * LANES) + c], w[u(STATE + i * LANES) + c]
            latent = w[u(LATENT) + c]
            held = ice + (freezing - t) / latent
            held = held if held > zero else zero
            held = held if held < one else one
            w[u(ice_row + i * LANES) + c] = held
            w[u(STATE + i * LANES) + c] = t + (held - ice) * latent
