"""Heat balance of wall and top, as pieces of the kernel."""

from __future__ import annotations

import numpy as np

from climrisk.core.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS_K
from climrisk.physics.pieces import inlined
from climrisk.pot import vapor
from climrisk.pot.film import FILM_TERMS
from climrisk.pot.kernel.simd_layout import (
    ABSORPTANCE,
    BEHIND,
    EMISSIVITY,
    FILM,
    FINAL,
    FIRST,
    INNER,
    LANES,
    LAST_LANE,
    LATER,
    NOW,
    ROOT,
    SKIN,
    SLOPE,
    VAPOR,
    WETNESS,
    YIELD,
    u,
)

saturation = inlined(vapor.saturation)
saturation_slope = inlined(vapor.saturation_slope)


@inlined
def calm(w, kind):  # type: ignore[no-untyped-def]
    """Take the root of the wind in the middle of the hour, which the films follow."""
    half = kind(0.5)
    for c in range(LAST_LANE):
        wind = w[u(NOW + 2 * LANES) + c] + w[u(LATER + 2 * LANES) + c]
        w[u(ROOT) + c] = np.sqrt(half * wind)


@inlined
def balance(w, which, flat, budget, kind):  # type: ignore[no-untyped-def]
    """Solve a surface (0 wall, 1 top) for the middle of the hour.

    ``g (behind - Ts) + offered - h Ts - e sigma Ts^4 - v (e_sat(Ts) - e)`` is zero,
    with the film h, what air, longwave and sun offer, all at the hour's middle, and v
    the vapor conductance h/psy times the wetness; dew settles on any surface, so v is
    h/psy where the deficit turns negative. Two Newton steps leave the sum as a line in
    Ts: sources at both ends of the hour, running with the forcing, and a slope.
    """
    half, four = kind(0.5), kind(4.0)
    sigma, kelvin = kind(STEFAN_BOLTZMANN), kind(ZERO_CELSIUS_K)
    row, film = which * LANES, FILM + which * FILM_TERMS * LANES
    for c in range(LAST_LANE):
        wind = w[u(ROOT) + c]
        h = w[u(film + (FILM_TERMS - 1) * LANES) + c]
        for k in range(1, FILM_TERMS):
            h = h * wind + w[u(film + (FILM_TERMS - 1 - k) * LANES) + c]
        emissivity = w[u(EMISSIVITY + row) + c]
        absorptance = w[u(ABSORPTANCE + row) + c]
        g = w[u(INNER + row) + c]
        first = (
            h * w[u(NOW) + c]
            + emissivity * w[u(NOW + 3 * LANES + row) + c]
            + absorptance * w[u(NOW + 5 * LANES + row) + c]
        )
        last = (
            h * w[u(LATER) + c]
            + emissivity * w[u(LATER + 3 * LANES + row) + c]
            + absorptance * w[u(LATER + 5 * LANES + row) + c]
        )
        vapor0, vapor1 = w[u(NOW + LANES) + c], w[u(LATER + LANES) + c]
        vapor = half * (vapor0 + vapor1)
        drive = g * w[u(BEHIND + row) + c] + half * (first + last)
        dew = h * flat
        wet = dew * w[u(WETNESS + row) + c]
        loss = sigma * emissivity
        ts = w[u(SKIN + row) + c]
        v, slope, value, over = wet, wet, wet, wet
        for _ in range(2):
            e_sat = saturation(ts, kind)
            v = wet if e_sat > vapor else dew
            k1 = ts + kelvin
            cube = loss * k1 * k1 * k1
            slope = -h - four * cube - v * saturation_slope(ts, kind)
            value = -h * ts - cube * k1 - v * e_sat - slope * ts
            over = kind(1) / (g - slope)
            ts = (drive + value + v * vapor) * over
        w[u(SKIN + row) + c] = ts
        w[u(YIELD + row) + c] = over
        w[u(FIRST + row) + c] = first + value + v * vapor0
        w[u(FINAL + row) + c] = last + value + v * vapor1
        w[u(SLOPE + row) + c] = slope
        if budget:
            w[u(VAPOR + row) + c] = v * (saturation(ts, kind) - vapor)
