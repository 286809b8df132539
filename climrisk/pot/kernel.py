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

from functools import lru_cache
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
_fast = njit(cache=True, nogil=True, error_model="numpy", fastmath={"contract"})

#: Saturation pressure over water in Pa, Lowe 1977, J. Appl. Meteor. 16:100, highest
#: power first. A polynomial, since an exponential would cost more than the rest of the
#: balance; -50 to 50 °C, coefficients from memory, tested against the WMO Magnus form.
SATURATION = (
    *(6.136820929e-9, 2.034080948e-6, 3.031240396e-4, 2.650648471e-2),
    *(1.428945805, 44.36518521, 610.7799961),
)


@lru_cache(maxsize=8)
def compiled(n_r: int, kind: Any) -> tuple[Any, Any, Any]:  # noqa: C901 - a room of its own
    """Return the march for so many shells, saturation pressure and its slope.

    Numbers of the closure are of that type: in compiled code a bare 0.5 is double
    precision and would turn all it meets.
    """
    zero, one, half, eighth = kind(0), kind(1), kind(0.5), kind(0.125 if n_r > 1 else 0)
    two, kelvin, four = kind(2), kind(ZERO_CELSIUS_K), kind(4)
    sigma, again = kind(STEFAN_BOLTZMANN), kind((1.0 - GAMMA) / GAMMA)
    a6, a5, a4, a3, a2, a1, a0 = (kind(x) for x in SATURATION)
    b5, b4 = kind(6 * SATURATION[0]), kind(5 * SATURATION[1])
    b3, b2 = kind(4 * SATURATION[2]), kind(3 * SATURATION[3])
    n, lanes, forcings, terms = n_r, LANES, _FORCING, FILM_TERMS
    # Rows of the flat array, each of `lanes` numbers.
    state, stage, right = 0, n, 2 * n
    inverse, ratio, g_in, g_out, shares_at = 3 * n, 4 * n, 5 * n, 6 * n, 7 * n
    now = 8 * n
    later = now + forcings
    given = later + forcings  # the eleven parameters
    film_at = given + 11
    skin = film_at + 2 * terms  # surface temperatures of wall and top
    early, late = skin + 2, skin + 4  # sources: every shell, the outermost
    lift = skin + 6
    mean_at, axis_at = skin + 8, skin + 9
    rows = skin + 10

    @_fast
    def saturation(t):  # type: ignore[no-untyped-def]
        return a0 + t * (a1 + t * (a2 + t * (a3 + t * (a4 + t * (a5 + t * a6)))))

    @_fast
    def saturation_slope(t):  # type: ignore[no-untyped-def]
        return a1 + t * (two * a2 + t * (b2 + t * (b3 + t * (b4 + t * b5))))

    @_fast
    def told(w):  # type: ignore[no-untyped-def]
        """Fill the volume mean, and the axis by a parabola through two shells."""
        for c in range(lanes):
            mean = w[shares_at * lanes + c] * w[state * lanes + c]
            for i in range(1, n):
                mean += w[(shares_at + i) * lanes + c] * w[(state + i) * lanes + c]
            w[mean_at * lanes + c] = mean
        for c in range(lanes):
            inner = w[state * lanes + c]
            beside = w[(state + min(1, n - 1)) * lanes + c]
            w[axis_at * lanes + c] = inner + eighth * (inner - beside)

    @_fast
    def side(w, which, gdt, flat):  # type: ignore[no-untyped-def]
        """Solve a surface (0 wall, 1 top): its sources at both ends, and its lift.

        ``g (node - Ts) + offered - h Ts - e sigma Ts^4 - v (e_sat(Ts) - e)`` is zero,
        with what air, longwave and sun offer at the hour's middle and v the vapor
        conductance h/psy times the wetness; dew settles on any surface, so v is h/psy
        where the deficit turns negative. Two Newton steps; then the flux into the node
        is a source plus slope times temperature, the source running with the forcing.
        """
        node_at = mean_at if which else state + n - 1
        row = 1 - which
        for c in range(lanes):
            wind = np.sqrt(w[(now + 2) * lanes + c])
            at = film_at + which * terms
            h = w[(at + terms - 1) * lanes + c]
            for k in range(1, terms):
                h = h * wind + w[(at + terms - 1 - k) * lanes + c]
            emissivity = w[(given + 7 + which) * lanes + c]
            absorptance = w[(given + 5 + which) * lanes + c]
            g = w[(given + which) * lanes + c]
            first = (
                h * w[now * lanes + c]
                + emissivity * w[(now + 3 + which) * lanes + c]
                + absorptance * w[(now + 5 + which) * lanes + c]
            )
            last = (
                h * w[later * lanes + c]
                + emissivity * w[(later + 3 + which) * lanes + c]
                + absorptance * w[(later + 5 + which) * lanes + c]
            )
            vapor0, vapor1 = w[(now + 1) * lanes + c], w[(later + 1) * lanes + c]
            vapor = half * (vapor0 + vapor1)
            drive = g * w[node_at * lanes + c] + half * (first + last)
            dew = h * flat
            wet = dew * w[(given + 9 + which) * lanes + c]
            loss = sigma * emissivity
            ts = w[(skin + which) * lanes + c]
            v, slope, value = zero, zero, zero
            for _ in range(2):
                e_sat = saturation(ts)
                v = wet if e_sat > vapor else dew
                k1 = ts + kelvin
                cube = loss * k1 * k1 * k1
                slope = -h - four * cube - v * saturation_slope(ts)
                value = -h * ts - cube * k1 - v * e_sat - slope * ts
                ts = (drive + value + v * vapor) / (g - slope)
            w[(skin + which) * lanes + c] = ts
            into = gdt * w[(given + 3 + which) * lanes + c] * g / (g - slope)
            w[(early + row) * lanes + c] = (first + value + v * vapor0) * into
            w[(late + row) * lanes + c] = (last + value + v * vapor1) * into
            w[(lift + row) * lanes + c] = -into * slope

    @_fast
    def floor(w, gdt):  # type: ignore[no-untyped-def]
        """Add the floor's share to what every shell takes."""
        for c in range(lanes):
            bottom = gdt * w[(given + 4) * lanes + c] * w[(given + 2) * lanes + c]
            w[early * lanes + c] += bottom * w[(now + 7) * lanes + c]
            w[late * lanes + c] += bottom * w[(later + 7) * lanes + c]
            w[lift * lanes + c] += bottom

    @_fast
    def factor(w):  # type: ignore[no-untyped-def]
        """Eliminate the tridiagonal matrix of an hour."""
        for c in range(lanes):
            every, share = w[lift * lanes + c], zero
            for i in range(n):
                inward = w[(g_in + i) * lanes + c]
                row = one + inward + w[(g_out + i) * lanes + c] + every
                if i == n - 1:
                    row += w[(lift + 1) * lanes + c]
                if i > 0:
                    row -= inward * share
                row = one / row
                share = w[(g_out + i) * lanes + c] * row
                w[(inverse + i) * lanes + c] = row
                w[(ratio + i) * lanes + c] = share

    @_fast
    def implicit(w, middle, target, part):  # type: ignore[no-untyped-def]
        """One implicit stage over the shells, from the axis outwards and back."""
        for c in range(lanes):
            every = w[early * lanes + c]
            every += part * (w[late * lanes + c] - every)
            outer = w[(early + 1) * lanes + c]
            outer += part * (w[(late + 1) * lanes + c] - outer)
            known = zero
            for i in range(n):
                before = w[(state + i) * lanes + c]
                known = (
                    before
                    + again * (w[(middle + i) * lanes + c] - before)
                    + every
                    + w[(g_in + i) * lanes + c] * known
                )
                if i == n - 1:
                    known += outer
                known *= w[(inverse + i) * lanes + c]
                w[(right + i) * lanes + c] = known
            w[(target + n - 1) * lanes + c] = known
            for j in range(1, n):
                i = n - 1 - j
                known = w[(right + i) * lanes + c] + w[(ratio + i) * lanes + c] * known
                w[(target + i) * lanes + c] = known

    @_fast
    def gain(w, at, part, weight, out, begin, count):  # type: ignore[no-untyped-def]
        """Add the heat that a stage took in through all surfaces."""
        for c in range(count):
            mean = zero
            for i in range(n):
                mean += w[(shares_at + i) * lanes + c] * w[(at + i) * lanes + c]
            for row in range(2):
                source = w[(early + row) * lanes + c]
                source += part * (w[(late + row) * lanes + c] - source)
                node = w[(at + n - 1) * lanes + c] if row else mean
                share = w[(shares_at + n - 1) * lanes + c] if row else one
                taken = source - w[(lift + row) * lanes + c] * node
                out[begin + c] += weight * share * taken

    @_fast
    def copied(w, at, source, begin, count):  # type: ignore[no-untyped-def]
        """Copy a row of cases into the block; lanes beyond repeat the last case."""
        for c in range(count):
            w[at * lanes + c] = source[begin + c]
        for c in range(count, lanes):
            w[at * lanes + c] = source[begin + count - 1]

    @_fast
    def set_up(  # type: ignore[no-untyped-def]
        w, begin, count, gdt, film, inward, outward, parameters, start, shares, forcing
    ):
        """Fill a block with its cases: state, grid, parameters, the first hour."""
        for i in range(n):
            copied(w, state + i, start[i], begin, count)
            copied(w, g_in + i, inward[i], begin, count)
            copied(w, g_out + i, outward[i], begin, count)
            for c in range(lanes):
                w[(g_in + i) * lanes + c] *= gdt
                w[(g_out + i) * lanes + c] *= gdt
                w[(shares_at + i) * lanes + c] = shares[i]
        for k in range(11):
            copied(w, given + k, parameters[k], begin, count)
        for k in range(terms):
            copied(w, film_at + k, film[0, k], begin, count)
            copied(w, film_at + terms + k, film[1, k], begin, count)
        for c in range(lanes):
            w[skin * lanes + c] = w[(state + n - 1) * lanes + c]
            w[(skin + 1) * lanes + c] = w[state * lanes + c]
        for k in range(forcings):
            copied(w, later + k, forcing[k, 0], begin, count)

    @_fast
    def run(  # type: ignore[no-untyped-def]  # noqa: C901 - one march, seen whole
        forcing,
        film,
        inward,
        outward,
        parameters,
        start,
        parts,
        gdt,
        flat,
        shares,
        mean_out,
        axis_out,
        gained,
    ):
        steps, cases = forcing.shape[1], forcing.shape[2]
        blocks = (cases + lanes - 1) // lanes
        work = np.zeros((blocks, rows * lanes), shares.dtype)
        for block in range(blocks):
            begin = block * lanes
            set_up(work[block], begin, min(lanes, cases - begin), gdt, film, inward,
                   outward, parameters, start, shares, forcing)  # fmt: skip
        # Hour by hour, all blocks in turn: the forcing is read once, in its order.
        for t in range(steps):
            for block in range(blocks):
                w, begin = work[block], block * lanes
                count = min(lanes, cases - begin)
                told(w)
                for c in range(count):
                    mean_out[t, begin + c] = w[mean_at * lanes + c]
                for c in range(count):
                    axis_out[t, begin + c] = w[axis_at * lanes + c]
                for k in range(forcings * lanes):
                    w[now * lanes + k] = w[later * lanes + k]
                if t + 1 < steps:
                    for k in range(forcings):
                        copied(w, later + k, forcing[k, t + 1], begin, count)
                side(w, 0, gdt, flat)
                side(w, 1, gdt, flat)
                floor(w, gdt)
                factor(w)
                for step in range(len(parts)):
                    implicit(w, state, stage, parts[step, 0])
                    if gained.size:
                        gain(w, stage, parts[step, 0], again, gained, begin, count)
                    implicit(w, stage, state, parts[step, 1])
                    if gained.size:
                        gain(w, state, parts[step, 1], one, gained, begin, count)
        for block in range(blocks):
            begin = block * lanes
            for i in range(n):
                for c in range(min(lanes, cases - begin)):
                    start[i, begin + c] = work[block, (state + i) * lanes + c]

    return run, saturation, saturation_slope


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
    run, _, _ = compiled(len(shares), kind)
    step = np.arange(substeps)[:, None]
    parts = ((step + np.array([GAMMA, 1.0])) / substeps).astype(kind)
    run(
        *(forcing, film, inward, outward, parameters, start, parts),
        *(kind(GAMMA * 3600.0 / substeps), kind(1.0 / psychrometric)),
        *(shares, mean_out, axis_out, gained),
    )
