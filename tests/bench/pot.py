"""How fast the pot is, against the machine, numpy and a general integrator.

Printed by ``scripts/compare_speed``; every ratio is of one process.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import Any

import numpy as np
from numba import njit
from scipy.integrate import solve_ivp

from climrisk.core.constants import STEFAN_BOLTZMANN, ZERO_CELSIUS_K
from climrisk.physics.humidity import saturation_pressure_pa
from climrisk.pot.film import FILM_TERMS, film_terms
from climrisk.pot.grid import Rings, column, parameters, surfaces
from climrisk.pot.kernel.march import March
from climrisk.pot.kernel.packing import PackedColumn, Volumes
from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import RootZones, root_zone
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.selection import WeatherChoice, load_weather
from tests.bench.timing import best, say

POT = FilledPot.named("thin-plastic", 12, "expanded-clay")
SUBSTEPS, PSYCHROMETRIC = 4, 61.0
#: Operations of the published algorithm a case-hour, products and sums: a surface is
#: the film (20), what is offered (14), two Newton steps of saturation, slope, cube and
#: quotient (2 x 42) and the line that is left (14); the shells are eliminated once (7
#: each) and swept eight times (10 each); mean and axis 18.
OPERATIONS = 2 * (20 + 14 + 2 * 42 + 14) + 8 * 7 + 8 * 8 * 10 + 18


def forcing(hours: int, cases: int, dtype: Any) -> np.ndarray:
    """Return made hours: a daily wave with noise, sun and a clear sky."""
    rng = np.random.default_rng(5)
    t = np.arange(hours)[:, None]
    wave = np.sin(2 * np.pi * (t - 9) / 24)
    air = 8 + 6 * wave + rng.normal(0, 0.5, (hours, cases))
    black = STEFAN_BOLTZMANN * (air + ZERO_CELSIUS_K) ** 4
    sun = np.maximum(0, np.sin(2 * np.pi * (t - 6) / 24)) * np.ones(cases)
    vapor, wind = np.full_like(air, 800.0), np.full_like(air, 1.0)
    rows = (air, vapor, wind, 0.93 * black, 0.87 * black, 90 * sun, 200 * sun, air)
    return np.ascontiguousarray(np.stack(rows), dtype=dtype)


def real(hours: int) -> np.ndarray:
    """Return hours of a roofed balcony in the demo weather."""
    weather = load_weather(WeatherChoice(demo=True))
    c = spot_climate(prepare(weather, ensemble(1)), spot_kind("roofed-balcony"))
    vapor = saturation_pressure_pa(c.dew_point_c)
    rows = (
        *(c.air_c, vapor, c.wind_m_s, c.longwave_wall_w_m2, c.longwave_top_w_m2),
        *(c.solar_wall_w_m2, c.solar_top_w_m2, c.floor_c),
    )
    first = 24 * 200  # January
    return np.stack([x[first : first + hours, :1] for x in rows]).astype(float)


def marcher(given: np.ndarray, cut: tuple[int, int]) -> Any:
    """Return a call that marches all cases of a forcing, and what it fills."""
    _, hours, cases = given.shape
    dtype = given.dtype
    wide = np.ones(cases)

    def spread(x: np.ndarray) -> np.ndarray:
        return np.ascontiguousarray(x[..., None] * wide, dtype=dtype)

    numbers = POT.numbers
    pot: PackedColumn | Volumes
    if cut[1] == 1:
        shells = column(numbers, cut[0])
        pot = PackedColumn(
            spread(shells.inward),
            spread(shells.outward),
            spread(parameters(numbers, shells)),
            shells.shares.astype(dtype),
        )
    else:
        rings = Rings.of(numbers, *cut)
        pot = Volumes(
            rings.n_r, rings.n_z, spread(surfaces(numbers)), spread(rings.records)
        )
    film = spread(film_terms(0.12, numbers.fill_m))
    start = np.full((pot.cells, cases), 8, dtype)
    mean, axis = np.empty((hours, cases), dtype), np.empty((hours, cases), dtype)
    by_hour = np.ascontiguousarray(given.transpose(1, 0, 2))

    def call() -> None:
        run = March(film, pot, start, by_hour[0], SUBSTEPS, PSYCHROMETRIC)
        run.add(by_hour, mean, axis, np.zeros(0))

    return call, mean


@njit(nogil=True, fastmath=True)
def _products(x: Any, rounds: int) -> None:
    for _ in range(rounds):
        for i in range(x.shape[1]):
            a, b, c, d = x[0, i], x[1, i], x[2, i], x[3, i]
            e, f, g, h = x[4, i], x[5, i], x[6, i], x[7, i]
            for _ in range(16):
                a = a * np.float32(0.999) + np.float32(0.1)
                b = b * np.float32(0.999) + np.float32(0.1)
                c = c * np.float32(0.999) + np.float32(0.1)
                d = d * np.float32(0.999) + np.float32(0.1)
                e = e * np.float32(0.999) + np.float32(0.1)
                f = f * np.float32(0.999) + np.float32(0.1)
                g = g * np.float32(0.999) + np.float32(0.1)
                h = h * np.float32(0.999) + np.float32(0.1)
            x[0, i], x[1, i], x[2, i], x[3, i] = a, b, c, d
            x[4, i], x[5, i], x[6, i], x[7, i] = e, f, g, h


def on_two(call: Any) -> None:
    """Run a call twice at once."""
    with ThreadPoolExecutor(2) as pool:
        for done in [pool.submit(call), pool.submit(call)]:
            done.result()


def peak() -> float:
    """Return products and sums a second of both threads together."""
    rounds = 2000

    def run() -> None:
        _products(np.ones((8, 256), np.float32), rounds)

    return 2 * 2 * 8 * 16 * 256 * rounds / best(partial(on_two, run), 5)


def by_numpy(hours: int, cases: int) -> float:  # noqa: C901
    """Return the seconds a case-hour of the same scheme in plain numpy."""
    given = forcing(hours, cases, np.float32)
    numbers = POT.numbers
    shells = column(numbers, 8)
    values = parameters(numbers, shells)
    film = film_terms(0.12, numbers.fill_m).astype(np.float32)
    gamma, dt = 1 - np.sqrt(0.5), 3600 / SUBSTEPS
    gdt = np.float32(gamma * dt)
    inward = (gdt * shells.inward).astype(np.float32)
    outward = (gdt * shells.outward).astype(np.float32)
    shares = shells.shares.astype(np.float32)

    def side(k: int, t: int, behind: np.ndarray, skin: np.ndarray) -> Any:
        root = np.sqrt(given[2, t])
        h = np.zeros_like(root)
        for term in range(FILM_TERMS - 1, -1, -1):
            h = h * root + film[k, term]
        now, later = given[:, t], given[:, min(t + 1, hours - 1)]
        ends = [
            h * f[0] + values[7 + k] * f[3 + k] + values[5 + k] * f[5 + k]
            for f in (now, later)
        ]
        vapor = (now[1] + later[1]) / 2
        g = np.float32(values[k])
        for _ in range(2):
            e = 611.2 * np.exp(17.62 * skin / (243.12 + skin))
            de = e * (17.62 * 243.12) / (243.12 + skin) ** 2
            v = h / PSYCHROMETRIC * np.where(e > vapor, values[9 + k], 1.0)
            hot = skin + ZERO_CELSIUS_K
            loss = values[7 + k] * STEFAN_BOLTZMANN * hot**3
            slope = -h - 4 * loss - v * de
            value = -h * skin - loss * hot - v * e - slope * skin
            skin = (g * behind + (ends[0] + ends[1]) / 2 + value + v * vapor) / (
                g - slope
            )
        into = gdt * np.float32(values[3 + k]) * g / (g - slope)
        parts = [
            (end + value + v * f[1]) * into
            for end, f in zip(ends, (now, later), strict=True)
        ]
        return skin, *parts, -into * slope

    def run() -> None:
        state = np.full((8, cases), 8, np.float32)
        skins = [state[0], state[0]]
        bottom = gdt * np.float32(values[4] * values[2])
        for t in range(hours):
            mean = shares @ state
            skins[0], w0, w1, w_lift = side(0, t, state[-1], skins[0])
            skins[1], t0, t1, t_lift = side(1, t, mean, skins[1])
            lift = np.repeat((t_lift + bottom)[None], 8, axis=0)
            lift[-1] += w_lift
            inverse, ratio = np.empty_like(state), np.empty_like(state)
            share = np.zeros(cases, np.float32)
            for i in range(8):
                inverse[i] = 1 / (
                    1 + inward[i] + outward[i] + lift[i] - inward[i] * share
                )
                share = ratio[i] = outward[i] * inverse[i]
            for step in range(SUBSTEPS):
                middle = state
                for part in ((step + gamma) / SUBSTEPS, (step + 1) / SUBSTEPS):
                    every = t0 + part * (t1 - t0) + bottom * given[7, t]
                    outer = w0 + part * (w1 - w0)
                    right = state + (1 - gamma) / gamma * (middle - state) + every
                    right[-1] += outer
                    known = np.zeros(cases, np.float32)
                    for i in range(8):
                        known = right[i] = (right[i] + inward[i] * known) * inverse[i]
                    for i in range(6, -1, -1):
                        right[i] += ratio[i] * right[i + 1]
                    middle = right
                state = middle

    return best(run, 2) / hours / cases


def by_lsoda(hours: int) -> tuple[float, float]:
    """Return the seconds an hour of LSODA on the same equations, and our error. [K]"""
    given = real(hours)
    call, mean = marcher(given, (8, 1))
    call()
    numbers = POT.numbers
    shells = column(numbers, 8)
    p = parameters(numbers, shells)
    film = film_terms(0.12, numbers.fill_m)
    clock = np.arange(hours) * 3600.0
    skin = [8.0, 8.0]

    def side(k: int, behind: float, f: np.ndarray) -> tuple[float, float]:
        h = float(np.polynomial.polynomial.polyval(np.sqrt(f[2]), film[k]))
        ts = skin[k]
        for _ in range(4):
            e = 611.2 * np.exp(17.62 * ts / (243.12 + ts))
            v = h / PSYCHROMETRIC * (p[9 + k] if e > f[1] else 1.0)
            slope = -h - 4 * p[7 + k] * STEFAN_BOLTZMANN * (ts + ZERO_CELSIUS_K) ** 3
            slope -= v * e * 17.62 * 243.12 / (243.12 + ts) ** 2
            total = p[k] * (behind - ts) + h * (f[0] - ts) + p[7 + k] * f[3 + k]
            total -= p[7 + k] * STEFAN_BOLTZMANN * (ts + ZERO_CELSIUS_K) ** 4
            total += p[5 + k] * f[5 + k] - v * (e - f[1])
            ts -= total / (slope - p[k])
        skin[k] = ts
        return ts, p[k] * slope / (p[k] - slope)

    def rate(seconds: float, y: np.ndarray) -> np.ndarray:
        at = min(int(seconds // 3600), hours - 2)
        part = seconds / 3600 - at
        f = given[:, at, 0] * (1 - part) + given[:, at + 1, 0] * part
        mid = shells.shares @ y
        wall, _ = side(0, y[-1], f)
        top, slope = side(1, mid, f)
        out = p[4] * (p[1] * (top - mid) + slope * (y - mid) + p[2] * (f[7] - y))
        out[1:] += shells.inward[1:] * (y[:-1] - y[1:])
        out[:-1] += shells.outward[:-1] * (y[1:] - y[:-1])
        out[-1] += p[3] * p[0] * (wall - y[-1])
        return np.asarray(out)

    def solve(tolerance: float = 1e-3) -> Any:
        return solve_ivp(
            rate, (0, clock[-1]), np.full(8, 8.0), method="LSODA", t_eval=clock,
            rtol=tolerance, atol=tolerance, max_step=3600,
        )  # fmt: skip

    took = best(solve, 1) / hours
    right = shells.shares @ solve(1e-6).y
    return took, float(np.sqrt(np.mean((mean[:, 0] - right) ** 2)))


def kernel() -> None:
    """Print the measures of the pot."""
    top = peak()
    say("multiply-add peak, single precision, 2 threads", top / 1e9, "GFLOP/s")
    numbers = np.ones(64_000_000, np.float32)
    say(
        "one read of memory, 1 thread", numbers.nbytes / best(numbers.sum) / 1e9, "GB/s"
    )

    hours, cases = 2000, 960
    calls = [marcher(forcing(hours, cases, np.float32), (8, 1))[0] for _ in range(2)]

    def both() -> None:
        with ThreadPoolExecutor(2) as pool:
            for done in [pool.submit(call) for call in calls]:
                done.result()

    many = best(both, 3) / hours / cases / 2
    alone = best(calls[0], 3) / hours / cases
    say("kernel, screening, many cases, 1 thread", alone * 1e9, "ns per case-hour")
    say(
        "kernel, screening, many cases, 2 threads",
        many * 1e9,
        "ns per case-hour",
        "<= 8",
    )
    say(
        "  of the peak, operations of the algorithm",
        OPERATIONS / many / top,
        "",
        ">= 0.3",
    )
    say(
        "  numpy over cases, against 1 thread",
        by_numpy(40, cases) / alone,
        "times",
        ">= 5",
    )

    whole = [marcher(forcing(300, 256, np.float32), (6, 8))[0] for _ in range(2)]

    def full() -> None:
        with ThreadPoolExecutor(2) as pool:
            for done in [pool.submit(call) for call in whole]:
                done.result()

    say("kernel, full (6,8) with ice, 2 threads", best(full, 2) / 300 / 512 * 1e9,
        "ns per case-hour", "<= 300")  # fmt: skip

    single, _ = marcher(forcing(20_000, 1, np.float64), (8, 1))
    one = best(single, 3) / 20_000
    say("kernel, one case alone (63 lanes idle), 1 thread", one * 1e9, "ns per hour")
    lsoda, error = by_lsoda(24 * 14)
    weather = load_weather(WeatherChoice(demo=True))
    kind = spot_kind("roofed-balcony")
    climate = spot_climate(prepare(weather, ensemble(1)), kind)
    one = best(lambda: RootZones(climate, threads=1).of(POT), 3)
    series = one / climate.air_c.size
    say(
        "one pot, 30 years cut into pieces, 1 thread",
        series * 1e9,
        "ns per hour",
        "<= 300",
    )
    say("  solve_ivp LSODA (rtol 1e-3) against it", lsoda / series, "times", ">= 1000")
    say("  our error against LSODA at 1e-6, rms", error, "K", "<= 0.02")
    for members in (1, 20):
        some = spot_climate(
            prepare(weather, ensemble(members)), spot_kind("roofed-balcony")
        )
        took = best(partial(root_zone, some, POT), 3)
        say(
            f"root zone, 30 years, {members} member{'s' * (members > 1)}, 2 threads",
            took / some.air_c.size * 1e9,
            "ns per case-hour",
        )
