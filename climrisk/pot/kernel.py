"""The one loop over hours: heat balance of a pot by finite volumes.

The interior is L-stable (two-stage SDIRK, Alexander 1977, SIAM J. Numer. Anal.
14:1006, gamma = 1 - 1/sqrt(2)); wall and top balances are solved by Newton once an hour
and enter the matrix with their slope, so no step is too long for stability.

The grid is radial, with the flux of top and bottom spread over the shells (n_z = 1); a
grid of several layers is refused.

How it is fast: cases are marched in blocks of a fixed number of lanes, and all that a
block needs stands in one flat array, a row of lanes for each number. With rows at fixed
distances in one array the compiler sees that nothing overlaps, and turns each loop over
lanes into vector code without a test; it gives up where many arrays might overlap.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from climrisk.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS_K
from climrisk.pot.film import FILM_TERMS

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
#: Cases of a block: four vectors of single precision on the widest machines.
LANES = 32
_FORCING = 8

# Numba: division by zero gives inf instead of a branch, so that loops vectorize. NaN
# tests stay: no fastmath but the joining of a product and a sum.
# Pieces of the hour are put into their caller before it is compiled: the rows they work
# on are then constants, without which loops over lanes stay scalar (five times slower).
_fast = njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"})
_inlined = njit(inline="always", nogil=True, error_model="numpy", fastmath={"contract"})

#: Saturation pressure over water in Pa, Lowe 1977, J. Appl. Meteor. 16:100, highest
#: power first. A polynomial, since an exponential would cost more than the rest of the
#: balance; -50 to 50 °C, coefficients from memory, tested against the WMO Magnus form.
_A = (
    *(6.136820929e-9, 2.034080948e-6, 3.031240396e-4, 2.650648471e-2),
    *(1.428945805, 44.36518521, 610.7799961),
)


# Rows of a block's flat array, each of `LANES` numbers; those of the shells follow.
_NOW, _LATER, _GIVEN, _FILM = 0, _FORCING, 2 * _FORCING, 2 * _FORCING + 11
_SKIN = _FILM + 2 * FILM_TERMS  # surface temperatures of wall and top
_EARLY, _LATE, _LIFT = _SKIN + 2, _SKIN + 4, _SKIN + 6  # every shell, the outermost
_MEAN, _AXIS, _STATE = _SKIN + 8, _SKIN + 9, _SKIN + 10
#: Groups of rows, one a shell: temperatures, mid-stage, right side, inverse and ratio
#: of the eliminated matrix, conductances inwards and outwards, shares.
_GROUPS = 8

# In compiled code a bare 0.5 is double precision and would turn all it meets, so that
# numbers pass through `kind`, the arrays' own type. `grid` is a tuple with a number for
# each shell: its length is known when the code is compiled, and loops over it unroll.


@_fast
def saturation(t, kind):  # type: ignore[no-untyped-def]
    """Saturation pressure over water. [Pa]"""
    x = kind(_A[0])
    x = x * t + kind(_A[1])
    x = x * t + kind(_A[2])
    x = x * t + kind(_A[3])
    x = x * t + kind(_A[4])
    x = x * t + kind(_A[5])
    return x * t + kind(_A[6])


@_fast
def saturation_slope(t, kind):  # type: ignore[no-untyped-def]
    """Slope of the polynomial. [Pa/K]"""
    x = kind(6 * _A[0])
    x = x * t + kind(5 * _A[1])
    x = x * t + kind(4 * _A[2])
    x = x * t + kind(3 * _A[3])
    x = x * t + kind(2 * _A[4])
    return x * t + kind(_A[5])


@_inlined
def _told(w, grid, kind):  # type: ignore[no-untyped-def]
    """Fill the volume mean, and the axis by a parabola through two shells."""
    n = len(grid)
    shares = _STATE + 7 * n
    eighth = kind(0.125 if n > 1 else 0.0)
    for c in range(LANES):
        mean = w[shares * LANES + c] * w[_STATE * LANES + c]
        for i in range(1, n):
            mean += w[(shares + i) * LANES + c] * w[(_STATE + i) * LANES + c]
        w[_MEAN * LANES + c] = mean
    for c in range(LANES):
        inner = w[_STATE * LANES + c]
        beside = w[(_STATE + min(1, n - 1)) * LANES + c]
        w[_AXIS * LANES + c] = inner + eighth * (inner - beside)


@_inlined
def _side(w, which, node_at, gdt, flat, kind):  # type: ignore[no-untyped-def]
    """Solve a surface (0 wall, 1 top): its sources at both ends, and its lift.

    ``g (node - Ts) + offered - h Ts - e sigma Ts^4 - v (e_sat(Ts) - e)`` is zero, with
    what air, longwave and sun offer at the hour's middle and v the vapor conductance
    h/psy times the wetness; dew settles on any surface, so v is h/psy where the deficit
    turns negative. Two Newton steps; then the flux into the node is a source plus slope
    times temperature, the source running with the forcing.
    """
    half, four = kind(0.5), kind(4.0)
    sigma, kelvin = kind(STEFAN_BOLTZMANN), kind(ZERO_CELSIUS_K)
    row = 1 - which
    at = _FILM + which * FILM_TERMS
    for c in range(LANES):
        wind = np.sqrt(w[(_NOW + 2) * LANES + c])
        h = w[(at + FILM_TERMS - 1) * LANES + c]
        for k in range(1, FILM_TERMS):
            h = h * wind + w[(at + FILM_TERMS - 1 - k) * LANES + c]
        emissivity = w[(_GIVEN + 7 + which) * LANES + c]
        absorptance = w[(_GIVEN + 5 + which) * LANES + c]
        g = w[(_GIVEN + which) * LANES + c]
        first = (
            h * w[_NOW * LANES + c]
            + emissivity * w[(_NOW + 3 + which) * LANES + c]
            + absorptance * w[(_NOW + 5 + which) * LANES + c]
        )
        last = (
            h * w[_LATER * LANES + c]
            + emissivity * w[(_LATER + 3 + which) * LANES + c]
            + absorptance * w[(_LATER + 5 + which) * LANES + c]
        )
        vapor0, vapor1 = w[(_NOW + 1) * LANES + c], w[(_LATER + 1) * LANES + c]
        vapor = half * (vapor0 + vapor1)
        drive = g * w[node_at * LANES + c] + half * (first + last)
        dew = h * flat
        wet = dew * w[(_GIVEN + 9 + which) * LANES + c]
        loss = sigma * emissivity
        ts = w[(_SKIN + which) * LANES + c]
        v, slope, value = wet, wet, wet
        for _ in range(2):
            e_sat = saturation(ts, kind)
            v = wet if e_sat > vapor else dew
            k1 = ts + kelvin
            cube = loss * k1 * k1 * k1
            slope = -h - four * cube - v * saturation_slope(ts, kind)
            value = -h * ts - cube * k1 - v * e_sat - slope * ts
            ts = (drive + value + v * vapor) / (g - slope)
        w[(_SKIN + which) * LANES + c] = ts
        into = gdt * w[(_GIVEN + 3 + which) * LANES + c] * g / (g - slope)
        w[(_EARLY + row) * LANES + c] = (first + value + v * vapor0) * into
        w[(_LATE + row) * LANES + c] = (last + value + v * vapor1) * into
        w[(_LIFT + row) * LANES + c] = -into * slope


@_inlined
def _floor(w, gdt):  # type: ignore[no-untyped-def]
    """Add the floor's share to what every shell takes."""
    for c in range(LANES):
        bottom = gdt * w[(_GIVEN + 4) * LANES + c] * w[(_GIVEN + 2) * LANES + c]
        w[_EARLY * LANES + c] += bottom * w[(_NOW + 7) * LANES + c]
        w[_LATE * LANES + c] += bottom * w[(_LATER + 7) * LANES + c]
        w[_LIFT * LANES + c] += bottom


@_inlined
def _factor(w, grid, kind):  # type: ignore[no-untyped-def]
    """Eliminate the tridiagonal matrix of an hour."""
    n, one = len(grid), kind(1)
    inverse, ratio = _STATE + 3 * n, _STATE + 4 * n
    inward, outward = _STATE + 5 * n, _STATE + 6 * n
    for c in range(LANES):
        every, share = w[_LIFT * LANES + c], kind(0)
        for i in range(n):
            into = w[(inward + i) * LANES + c]
            row = one + into + w[(outward + i) * LANES + c] + every - into * share
            if i == n - 1:
                row += w[(_LIFT + 1) * LANES + c]
            row = one / row
            share = w[(outward + i) * LANES + c] * row
            w[(inverse + i) * LANES + c] = row
            w[(ratio + i) * LANES + c] = share


@_inlined
def _implicit(w, grid, middle, target, part, kind):  # type: ignore[no-untyped-def]
    """One implicit stage over the shells, from the axis outwards and back."""
    n, again = len(grid), kind((1.0 - GAMMA) / GAMMA)
    right, inverse = _STATE + 2 * n, _STATE + 3 * n
    ratio, inward = _STATE + 4 * n, _STATE + 5 * n
    for c in range(LANES):
        every = w[_EARLY * LANES + c]
        every += part * (w[_LATE * LANES + c] - every)
        outer = w[(_EARLY + 1) * LANES + c]
        outer += part * (w[(_LATE + 1) * LANES + c] - outer)
        known = kind(0)
        for i in range(n):
            before = w[(_STATE + i) * LANES + c]
            known = (
                before
                + again * (w[(middle + i) * LANES + c] - before)
                + every
                + w[(inward + i) * LANES + c] * known
            )
            if i == n - 1:
                known += outer
            known *= w[(inverse + i) * LANES + c]
            w[(right + i) * LANES + c] = known
        w[(target + n - 1) * LANES + c] = known
        for j in range(1, n):
            i = n - 1 - j
            known = w[(right + i) * LANES + c] + w[(ratio + i) * LANES + c] * known
            w[(target + i) * LANES + c] = known


@_inlined
def _gain(w, grid, at, part, weight, out, begin, count, kind):  # type: ignore[no-untyped-def]
    """Add the heat that a stage took in through all surfaces."""
    n = len(grid)
    shares = _STATE + 7 * n
    for c in range(count):
        mean = kind(0)
        for i in range(n):
            mean += w[(shares + i) * LANES + c] * w[(at + i) * LANES + c]
        for row in range(2):
            source = w[(_EARLY + row) * LANES + c]
            source += part * (w[(_LATE + row) * LANES + c] - source)
            node = w[(at + n - 1) * LANES + c] if row else mean
            share = w[(shares + n - 1) * LANES + c] if row else kind(1)
            taken = source - w[(_LIFT + row) * LANES + c] * node
            out[begin + c] += weight * share * taken


@_fast
def _copied(w, at, source, begin, count):  # type: ignore[no-untyped-def]
    """Copy a row of cases into the block; lanes beyond repeat the last case."""
    for c in range(count):
        w[at * LANES + c] = source[begin + c]
    for c in range(count, LANES):
        w[at * LANES + c] = source[begin + count - 1]


@_fast
def _set_up(  # type: ignore[no-untyped-def]
    w, grid, begin, count, gdt, film, inward, outward, parameters, start, forcing
):
    """Fill a block with its cases: state, grid, parameters, the first hour."""
    n = len(grid)
    for i in range(n):
        into, out, share = _STATE + 5 * n + i, _STATE + 6 * n + i, _STATE + 7 * n + i
        _copied(w, _STATE + i, start[i], begin, count)
        _copied(w, into, inward[i], begin, count)
        _copied(w, out, outward[i], begin, count)
        for c in range(LANES):
            w[into * LANES + c] *= gdt
            w[out * LANES + c] *= gdt
            w[share * LANES + c] = grid[i]
    for k in range(11):
        _copied(w, _GIVEN + k, parameters[k], begin, count)
    for k in range(FILM_TERMS):
        _copied(w, _FILM + k, film[0, k], begin, count)
        _copied(w, _FILM + FILM_TERMS + k, film[1, k], begin, count)
    for c in range(LANES):
        w[_SKIN * LANES + c] = w[(_STATE + n - 1) * LANES + c]
        w[(_SKIN + 1) * LANES + c] = w[_STATE * LANES + c]
    for k in range(_FORCING):
        _copied(w, _LATER + k, forcing[k, 0], begin, count)


@_fast
def _hour(w, grid, begin, count, parts, gdt, flat, gained, kind):  # type: ignore[no-untyped-def]
    """March a block through one hour."""
    n = len(grid)
    stage, again = _STATE + n, (1.0 - GAMMA) / GAMMA
    _side(w, 0, _STATE + n - 1, gdt, flat, kind)
    _side(w, 1, _MEAN, gdt, flat, kind)
    _floor(w, gdt)
    _factor(w, grid, kind)
    for step in range(len(parts)):
        part, whole = parts[step, 0], parts[step, 1]
        _implicit(w, grid, _STATE, stage, part, kind)
        if gained.size:
            _gain(w, grid, stage, part, again, gained, begin, count, kind)
        _implicit(w, grid, stage, _STATE, whole, kind)
        if gained.size:
            _gain(w, grid, _STATE, whole, 1.0, gained, begin, count, kind)


@_fast
def _run(  # type: ignore[no-untyped-def]  # noqa: C901
    forcing,
    film,
    inward,
    outward,
    parameters,
    start,
    parts,
    gdt,
    flat,
    grid,
    mean_out,
    axis_out,
    gained,
    kind,
):
    """March all blocks through all hours, hour by hour: the forcing is read once."""
    n, steps, cases = len(grid), forcing.shape[1], forcing.shape[2]
    blocks = (cases + LANES - 1) // LANES
    work = np.zeros((blocks, (_STATE + _GROUPS * n) * LANES), forcing.dtype)
    for block in range(blocks):
        begin = block * LANES
        count = min(LANES, cases - begin)
        _set_up(
            *(work[block], grid, begin, count, gdt, film, inward, outward),
            *(parameters, start, forcing),
        )
    for t in range(steps):
        for block in range(blocks):
            w, begin = work[block], block * LANES
            count = min(LANES, cases - begin)
            _told(w, grid, kind)
            for c in range(count):
                mean_out[t, begin + c] = w[_MEAN * LANES + c]
            for c in range(count):
                axis_out[t, begin + c] = w[_AXIS * LANES + c]
            for k in range(_FORCING * LANES):
                w[_NOW * LANES + k] = w[_LATER * LANES + k]
            if t + 1 < steps:
                for k in range(_FORCING):
                    _copied(w, _LATER + k, forcing[k, t + 1], begin, count)
            _hour(w, grid, begin, count, parts, gdt, flat, gained, kind)
    for block in range(blocks):
        begin = block * LANES
        for i in range(n):
            for c in range(min(LANES, cases - begin)):
                start[i, begin + c] = work[block, (_STATE + i) * LANES + c]


def march(
    forcing: Any,
    film: Any,
    inward: Any,
    outward: Any,
    parameters: Any,
    start: Any,
    n_z: int,
    substeps: int,
    psychrometric: float,
    shares: Any,
    mean_out: Any,
    axis_out: Any,
    gained: Any,
) -> None:
    """March pots through hours, in place; all arrays of one floating type.

    Parameters
    ----------
    forcing : float array (8, time, case)
        Air [°C], vapor pressure [Pa], wind [m/s], longwave on wall and top, sunlight
        on wall and top [W/m2], floor [°C]; joined by straight lines between hours. No
        NaN: validity travels outside.
    film : float array (2, FILM_TERMS, case)
        Film coefficients of wall and top: polynomials in the root of the wind, the
        constant term first; good for winds of 0 to 12 m/s. [W/m2/K]
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
    gained : float64 array (case,) or (0,)
        Adds the heat gained through all surfaces over the pot's heat capacity; not
        counted where empty. [K]
    """
    if n_z != 1:
        msg = "only one layer: n_z must be 1"
        raise ValueError(msg)
    kind = np.dtype(shares.dtype).type
    step = np.arange(substeps)[:, None]
    parts = ((step + np.array([GAMMA, 1.0])) / substeps).astype(kind)
    _run(
        *(forcing, film, inward, outward, parameters, start, parts),
        *(kind(GAMMA * 3600.0 / substeps), kind(1.0 / psychrometric)),
        *(tuple(shares), mean_out, axis_out, gained, kind),
    )
