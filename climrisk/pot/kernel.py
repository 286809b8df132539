"""The one loop over hours: heat balance of a pot by finite volumes.

Arrays are (time, case) with the case innermost, so that the compiler vectorizes over
cases. The interior is L-stable (two-stage SDIRK, Alexander 1977, SIAM J. Numer. Anal.
14:1006, gamma = 1 - 1/sqrt(2)); wall and top balances are solved by Newton and enter
the matrix with their slope, so no step is too long for stability.

The grid is radial, with the flux of top and bottom spread over the shells (n_z = 1);
a grid of several layers is refused.
"""

from __future__ import annotations

import numpy as np
from numba import njit

from climrisk.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS_K

#: Rows of the parameter array, one column a case.
PARAMETERS = (
    "wall_conductance",  # wall inner: half shell, wall, contact [W/m2/K]
    "top_conductance",  # top inner: 3 k / H [W/m2/K]
    "bottom_conductance",  # medium to floor [W/m2/K]
    "wall_per_capacity",  # 2 pi R over the outer shell's capacity [m2 K/J]
    "top_per_capacity",  # 1 / (C H) [m2 K/J]
    "wall_absorptance",
    "top_absorptance",
    "wall_emissivity",
    "top_emissivity",
    "wall_wetness",
    "top_wetness",
)
GAMMA = 1.0 - 1.0 / np.sqrt(2.0)

# Numba: division by zero gives inf instead of a branch, so that loops vectorize. NaN
# tests stay: no fastmath.
_fast = njit(cache=True, nogil=True, error_model="numpy")

# Each small loop below touches few arrays. LLVM vectorizes a loop only if it can check
# at run time that its arrays do not overlap, and it gives up beyond a handful.


@_fast
def _saturation(t, one):  # type: ignore[no-untyped-def]
    """Saturation pressure over water in Pa, Lowe 1977, J. Appl. Meteor. 16:100.

    A polynomial, since an exponential would cost more than the rest of the balance;
    -50 to 50 °C, coefficients from memory, tested against the WMO Magnus form.
    """
    x = one * 6.136820929e-9
    x = x * t + one * 2.034080948e-6
    x = x * t + one * 3.031240396e-4
    x = x * t + one * 2.650648471e-2
    x = x * t + one * 1.428945805
    x = x * t + one * 44.36518521
    return x * t + one * 610.7799961


@_fast
def _saturation_slope(t, one):  # type: ignore[no-untyped-def]
    """Slope of the polynomial. [Pa/K]"""
    x = one * 3.6820925574e-8
    x = x * t + one * 1.017040474e-5
    x = x * t + one * 1.2124961584e-3
    x = x * t + one * 7.951945413e-2
    x = x * t + one * 2.857891610
    return x * t + one * 44.36518521


@_fast
def _blend(out, early, late, share):  # type: ignore[no-untyped-def]
    for c in range(out.size):
        out[c] = early[c] + share * (late[c] - early[c])


@_fast
def _add_product(out, a, b):  # type: ignore[no-untyped-def]
    for c in range(out.size):
        out[c] += a[c] * b[c]


@_fast
def _add(out, a):  # type: ignore[no-untyped-def]
    for c in range(out.size):
        out[c] += a[c]


@_fast
def _scaled(out, a, by):  # type: ignore[no-untyped-def]
    for c in range(out.size):
        out[c] = by * a[c]


@_fast
def _product(out, a, b):  # type: ignore[no-untyped-def]
    for c in range(out.size):
        out[c] = a[c] * b[c]


@_fast
def _mean(out, state, shares):  # type: ignore[no-untyped-def]
    """Volume mean over shells, in place."""
    row, share = state[0], shares[0]
    for c in range(out.size):
        out[c] = share * row[c]
    for i in range(1, shares.size):
        row, share = state[i], shares[i]
        for c in range(out.size):
            out[c] += share * row[c]


@_fast
def _axis(out, state, one):  # type: ignore[no-untyped-def]
    """Temperature at the axis from the two innermost shells, in place."""
    eighth = one * (0.125 if state.shape[0] > 1 else 0.0)
    inner, next_one = state[0], state[min(1, state.shape[0] - 1)]
    for c in range(out.size):
        out[c] = inner[c] + eighth * (inner[c] - next_one[c])


@_fast
def _film(out, wind, table, step, one):  # type: ignore[no-untyped-def]
    """Film coefficient at a wind by straight lines in a table (step, case)."""
    top = table.shape[0] - 1
    for c in range(out.size):
        position = min(wind[c] / step, one * top)
        low = min(int(position), top - 1)
        part = position - one * low
        out[c] = table[low, c] + part * (table[low + 1, c] - table[low, c])


@_fast
def _newton(ts, node, g, h, balance, vapor, loss, wet, dew, work, one):  # type: ignore[no-untyped-def]
    """Two Newton steps of a surface balance, and its slope.

    ``g (node - Ts) + balance - h Ts - loss Ts^4 - w (e_sat(Ts) - e)`` is zero, with
    ``balance`` the heat offered (air, longwave, sun), ``loss`` = emissivity times sigma
    and w the vapor conductance h/psy times the wetness; dew settles on any surface, so
    w is ``dew`` = h/psy where the deficit turns negative. Rows of `work`: w, slope of
    the outer fluxes, their value at Ts without what is offered, scratch.
    """
    zero, four = one * ZERO_CELSIUS_K, one * 4.0
    vapors, slope, value, scratch = work[0], work[1], work[2], work[3]
    for _ in range(2):
        for c in range(ts.size):
            vapors[c] = wet[c] if _saturation(ts[c], one) > vapor[c] else dew[c]
        for c in range(ts.size):
            k = ts[c] + zero
            value[c] = -h[c] * ts[c] - loss[c] * (k * k) * (k * k)
        for c in range(ts.size):
            value[c] -= vapors[c] * _saturation(ts[c], one)
        for c in range(ts.size):
            k = ts[c] + zero
            slope[c] = -h[c] - four * loss[c] * (k * k) * k
        for c in range(ts.size):
            slope[c] -= vapors[c] * _saturation_slope(ts[c], one)
        for c in range(ts.size):
            value[c] -= slope[c] * ts[c]
        for c in range(ts.size):
            scratch[c] = balance[c] + value[c] + vapors[c] * vapor[c]
        for c in range(ts.size):
            ts[c] = (g[c] * node[c] + scratch[c]) / (g[c] - slope[c])


@_fast
def _offered(out, h, air, longwave, sun, emissivity, absorptance):  # type: ignore[no-untyped-def]
    """Heat that air, longwave and sun offer a surface: h Ta + eps L + a S."""
    for c in range(out.size):
        out[c] = h[c] * air[c] + emissivity[c] * longwave[c] + absorptance[c] * sun[c]


@_fast
def _source(out, offered, vapor, work, g, into):  # type: ignore[no-untyped-def]
    """Constant part of the flux into the node, times `into`."""
    vapors, slope, value = work[0], work[1], work[2]
    for c in range(out.size):
        out[c] = offered[c] + value[c] + vapors[c] * vapor[c]
    for c in range(out.size):
        out[c] *= into[c] * g[c] / (g[c] - slope[c])


@_fast
def _lift(out, work, g, into):  # type: ignore[no-untyped-def]
    """Minus the slope of the flux into the node, times `into`: positive."""
    slope = work[1]
    for c in range(out.size):
        out[c] = -into[c] * g[c] * slope[c] / (g[c] - slope[c])


@_fast
def _factor(inverse, ratio, inward, outward, lift, one):  # type: ignore[no-untyped-def]
    """Forward elimination of the tridiagonal matrix of an hour."""
    last = inverse.shape[0] - 1
    for i in range(last + 1):
        row, g_in, g_out, share = inverse[i], inward[i], outward[i], ratio[i]
        every, outer = lift[0], lift[1]
        for c in range(row.size):
            row[c] = one + g_in[c] + g_out[c] + every[c]
        if i == last:
            for c in range(row.size):
                row[c] += outer[c]
        if i > 0:
            before = ratio[i - 1]
            for c in range(row.size):
                row[c] -= g_in[c] * before[c]
        for c in range(row.size):
            row[c] = one / row[c]
        for c in range(row.size):
            share[c] = g_out[c] * row[c]


@_fast
def _stage(  # type: ignore[no-untyped-def]  # noqa: C901 - one sweep, seen whole
    state, stage, target, inward, add, inverse, ratio, right, again
):
    """One implicit stage over the shells, from the axis outwards and back.

    Row 0 of `add` is the source of every shell, row 1 that of the outermost.
    """
    last = state.shape[0] - 1
    every, outer = add[0], add[1]
    for i in range(last + 1):
        known, before, middle, scale = right[i], state[i], stage[i], inverse[i]
        if i == 0:
            for c in range(known.size):
                known[c] = before[c] + again * (middle[c] - before[c]) + every[c]
        else:
            inner, g_in = right[i - 1], inward[i]
            for c in range(known.size):
                known[c] = (
                    before[c]
                    + again * (middle[c] - before[c])
                    + every[c]
                    + g_in[c] * inner[c]
                )
        if i == last:
            for c in range(known.size):
                known[c] += outer[c]
        for c in range(known.size):
            known[c] *= scale[c]
    row, known = target[last], right[last]
    for c in range(known.size):
        row[c] = known[c]
    for j in range(1, last + 1):
        i = last - j
        row, beyond, known, share = target[i], target[i + 1], right[i], ratio[i]
        for c in range(known.size):
            row[c] = known[c] + share[c] * beyond[c]


@_fast
def _gain(out, state, shares, add, lift, weight, mean):  # type: ignore[no-untyped-def]
    """Add the heat that a stage took in through all surfaces."""
    _mean(mean, state, shares)
    outermost, share = state[state.shape[0] - 1], shares[shares.size - 1]
    for c in range(mean.size):
        out[c] += weight * (add[0, c] - lift[0, c] * mean[c])
    for c in range(mean.size):
        out[c] += weight * share * (add[1, c] - lift[1, c] * outermost[c])


@_fast
def march(  # type: ignore[no-untyped-def]
    forcing,
    film,
    film_step,
    inward,
    outward,
    parameters,
    start,
    n_z,
    substeps,
    psychrometric,
    shares,
    mean_out,
    axis_out,
    gained,
):
    """March pots through hours, in place.

    Parameters
    ----------
    forcing : float array (8, time, case)
        Air [°C], vapor pressure [Pa], wind [m/s], longwave on wall and top, sunlight
        on wall and top [W/m2], floor [°C]; joined by straight lines between hours. No
        NaN: validity travels outside.
    film : float array (2, step, case)
        Film coefficients of wall and top at winds 0, film_step, ... [W/m2/K]
    film_step : float
        [m/s]
    inward, outward : float array (shell, case)
        Conductance to the inner and outer neighbor over the shell's capacity. [1/s]
    parameters : float array (11, case)
        By `PARAMETERS`.
    start : float array (shell, case)
        Temperatures at the first hour; holds those after the last on return. [°C]
    n_z : int
        Layers; only 1 here.
    substeps : int
        Steps an hour.
    psychrometric : float
        Of a freely wet surface. [Pa/K]
    shares : float array (shell,)
        Share of each shell in the volume.
    mean_out, axis_out : float array (time, case)
        Volume mean and axis at the start of each hour. [°C]
    gained : float64 array (case,)
        Adds the heat gained through all surfaces over the pot's heat capacity. [K]
    """
    if n_z != 1:
        raise ValueError("only one layer: n_z must be 1")
    steps, cases = forcing.shape[1], forcing.shape[2]
    last = start.shape[0] - 1
    # A bare number would turn single precision double: all constants pass through one.
    one = shares.dtype.type(1)
    gdt = one * (GAMMA * 3600.0 / substeps)
    again = one * ((1.0 - GAMMA) / GAMMA)
    sigma, flat, half = one * STEFAN_BOLTZMANN, one * (1.0 / psychrometric), one * 0.5
    kind = start.dtype
    state, stage, ratio = start, np.zeros_like(start), np.zeros_like(start)
    right, inverse = np.zeros_like(start), np.zeros_like(start)
    g_in, g_out = gdt * inward, gdt * outward
    work = np.zeros((2, 4, cases), kind)
    h, wet, dew = (
        np.zeros((2, cases), kind),
        np.zeros((2, cases), kind),
        np.zeros((2, cases), kind),
    )
    early, late = np.zeros((2, cases), kind), np.zeros((2, cases), kind)
    add, lift = np.zeros((2, cases), kind), np.zeros((2, cases), kind)
    mean, middle, vapor = (
        np.zeros(cases, kind),
        np.zeros(cases, kind),
        np.zeros(cases, kind),
    )
    surface = np.zeros((2, cases), kind)
    surface[0], surface[1] = state[last], state[0]
    loss = sigma * parameters[7:9]
    # Row 0 of add and lift serves every shell (top), row 1 the outermost (wall).
    into = np.zeros((2, cases), kind)
    into[0], into[1] = gdt * parameters[4], gdt * parameters[3]
    floor = into[0] * parameters[2]
    for t in range(steps):
        n = min(t + 1, steps - 1)
        _mean(mean, state, shares)
        mean_out[t] = mean
        # A parabola through the two innermost shells gives the axis itself.
        _axis(axis_out[t], state, one)
        # Surfaces once an hour: Newton with the forcing of its middle, then the flux
        # into the node as source + slope * T, the source running with the forcing.
        _blend(vapor, forcing[1, t], forcing[1, n], half)
        for side in range(2):
            _film(h[side], forcing[2, t], film[side], film_step, one)
            _scaled(dew[side], h[side], flat)
            _product(wet[side], dew[side], parameters[9 + side])
            e, a, g = parameters[7 + side], parameters[5 + side], parameters[side]
            for end in range(2):
                hour, out = (n, late[side]) if end else (t, early[side])
                _offered(
                    out,
                    h[side],
                    forcing[0, hour],
                    forcing[3 + side, hour],
                    forcing[5 + side, hour],
                    e,
                    a,
                )
            _blend(middle, early[side], late[side], half)
            node = mean if side else state[last]
            _newton(
                surface[side],
                node,
                g,
                h[side],
                middle,
                vapor,
                loss[side],
                wet[side],
                dew[side],
                work[side],
                one,
            )
            row = 1 - side
            _source(early[side], early[side], forcing[1, t], work[side], g, into[row])
            _source(late[side], late[side], forcing[1, n], work[side], g, into[row])
            _lift(lift[row], work[side], g, into[row])
        _add_product(early[1], floor, forcing[7, t])
        _add_product(late[1], floor, forcing[7, n])
        _add(lift[0], floor)
        _factor(inverse, ratio, g_in, g_out, lift, one)
        for step in range(substeps):
            for second in range(2):
                share = one * ((step + (1.0 if second else GAMMA)) / substeps)
                _blend(add[0], early[1], late[1], share)
                _blend(add[1], early[0], late[0], share)
                if second:
                    _stage(state, stage, state, g_in, add, inverse, ratio, right, again)
                    _gain(gained, state, shares, add, lift, 1.0, mean)
                else:
                    _stage(state, state, stage, g_in, add, inverse, ratio, right, again)
                    _gain(gained, stage, shares, add, lift, (1.0 - GAMMA) / GAMMA, mean)
