"""The pot kernel against exact cylinders, laws, and an independent integrator."""

from __future__ import annotations

import math
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

import climrisk.pot
from climrisk.pot.film import FILM_TERMS
from climrisk.pot.grid import Shells
from climrisk.pot.kernel.march import march
from climrisk.pot.kernel.packing import PackedColumn
from climrisk.pot.kernel.surfaces import saturation, saturation_slope
from climrisk.pot.root_zone import time_constant_h
from tests.published.rows import ROWS, expected, inputs

SIGMA, ZERO = 5.670374419e-8, 273.15


def periodic():
    """The rows of a long cylinder in periodic air, paired amplitude and lag."""
    for i in range(35, 59, 4):
        yield f"CO{i}", f"CO{i + 1}"


#: Errors of 8 shells by the error table of the specification: amplitude at the axis
#: -.001 (R 6 cm, Bi 1) to -.006 (R 15 cm, Bi 5), lag within a minute.
AMPLITUDE_ERROR = {
    0.04: 0.001,
    0.05: 0.001,
    0.06: 0.0015,
    0.08: 0.002,
    0.1: 0.004,
    0.15: 0.007,
}


@pytest.mark.parametrize(("ratio", "lag"), list(periodic()))
def test_daily_wave_of_a_long_cylinder(ratio, lag):
    # Exact: G(r) = I0(s r) / (I0(s R) + (s R / Bi) I1(s R)), s = sqrt(i omega/alpha).
    row = inputs(ratio)
    k = 0.25
    got = climrisk.pot.daily_response(
        row["R_m"], k, k / row["alpha"], row["Bi"] * k / row["R_m"]
    )
    error = AMPLITUDE_ERROR[row["R_m"]]
    assert got.axis.amplitude_ratio == pytest.approx(expected(ratio), abs=error)
    assert got.axis.lag_h == pytest.approx(expected(lag), abs=1.5 / 60)


@pytest.mark.parametrize(
    # Sizes that nothing else needs take some seconds each to compile.
    "sizes",
    [(6, 8), pytest.param((4, 8, 16), marks=pytest.mark.long)],
)
def test_wave_converges_with_the_square_of_the_width(sizes):
    k, row = 0.25, inputs("CO51")
    errors = [
        abs(
            climrisk.pot.daily_response(
                row["R_m"], k, k / row["alpha"], row["Bi"] * k / row["R_m"], n_r=n
            ).axis.amplitude_ratio
            - expected("CO51")
        )
        for n in sizes
    ]
    for i in range(len(sizes) - 1):
        order = math.log(errors[i] / errors[i + 1]) / math.log(sizes[i + 1] / sizes[i])
        assert order == pytest.approx(2.0, abs=0.4)


def cylinder(
    radius, k, capacity, h, n_r=8, lanes=1, dtype=float
) -> tuple[Any, Any, Any]:
    """Arguments of the kernel for a bare cylinder: wall exchange by h alone."""
    shells = Shells.of(radius, k, capacity, n_r)
    values = np.zeros((12, lanes), dtype)
    values[0], values[1] = 1 / shells.half_resistance_m2k_w, 1.0
    values[3] = shells.wall_per_capacity
    film = np.zeros((2, FILM_TERMS, lanes))
    film[0, 0] = h
    return shells, values, film.astype(dtype)


def run(shells, values, film, forcing, start, substeps=4, psychrometric=60.0):
    hours, lanes = forcing.shape[1:]
    dtype = forcing.dtype
    mean, axis = np.empty((hours, lanes), dtype), np.empty((hours, lanes), dtype)
    gained = np.zeros(lanes)
    state = np.full((len(shells.shares), lanes), start, dtype)
    wide = np.ones((1, lanes), dtype)
    pot = PackedColumn(
        (shells.inward[:, None] * wide).astype(dtype),
        (shells.outward[:, None] * wide).astype(dtype),
        values,
        shells.shares.astype(dtype),
    )
    out = (mean, axis, gained)
    ends = march(forcing, film, pot, state, substeps, psychrometric, out)
    return mean, axis, gained, ends


@pytest.mark.parametrize("key", ["CO18", "CO19", "CO20", "CO21"])
def test_step_response_at_the_axis(key):
    # 60-term series; errors of 8 shells stay below .006 up to Bi 5 (error table).
    row = inputs(key)
    radius, k, hours = 0.06, 0.25, 20
    # The capacity is chosen so that Fo is reached after a whole number of hours.
    capacity = k * hours * 3600 / (row["Fo"] * radius**2)
    parts = cylinder(radius, k, capacity, row["Bi"] * k / radius)
    _, axis, _, _ = run(*parts, np.zeros((8, hours + 1, 1)), 1.0)
    assert axis[hours, 0] == pytest.approx(expected(key), abs=0.006)


def test_lumped_limit():
    # Bi -> 0: exp(-2 h t / (C R)), the lumped capacity of a long cylinder.
    radius, capacity, h = 0.05, 1.5e6, 0.5
    parts = cylinder(radius, 50.0, capacity, h)
    mean, _, _, _ = run(*parts, np.zeros((8, 25, 1)), 1.0)
    assert mean[24, 0] == pytest.approx(
        math.exp(-2 * h * 24 * 3600 / (capacity * radius)), rel=1e-3
    )


@pytest.mark.parametrize("key", ["CO63", "CO64"])
def test_time_constant(key):
    # 1/(alpha (z1^2/R^2 + mu1^2/H^2)); the series form joins its two limits, up
    # to 9 % above between (8 % as run).
    row = inputs(key)
    pot = SimpleNamespace(
        radius_m=row["R_m"],
        fill_m=row["H_m"],
        conductivity_w_mk=row["k"],
        heat_capacity_j_m3k=row["C"],
    )
    assert time_constant_h(pot, row["h"]) == pytest.approx(expected(key), rel=0.09)
    assert "slowest" in ROWS[key]["quantity"]


def still(hours, lanes=1, dtype=float, air=10.0, vapor=1000.0):
    """Forcing of a closed black room at air temperature."""
    forcing = np.zeros((8, hours, lanes), dtype)
    forcing[0], forcing[1], forcing[7] = air, vapor, air
    forcing[3:5] = SIGMA * (air + ZERO) ** 4
    return forcing


def pot_parts(
    beta=(0.0, 0.0), lanes=1, dtype=float, emissivity=0.9
) -> tuple[Any, Any, Any]:
    radius, k, capacity, height = 0.06, 0.2, 1.5e6, 0.11
    shells, values, film = cylinder(radius, k, capacity, 8.0, lanes=lanes, dtype=dtype)
    values[1], values[2] = 3 * k / height, 3.0
    values[4] = 1 / (capacity * height)
    values[5:7], values[7:9] = 0.8, emissivity
    values[9], values[10] = beta
    film[1, 0] = 6.0
    return shells, values, film


def test_uniform_state_stays_put():
    # Start, air and surroundings alike, saturated: nothing moves, to 1e-9.
    forcing = still(200, vapor=saturation(10.0, np.float64))
    mean, axis, _, _ = run(*pot_parts((0.5, 0.5)), forcing, 10.0)
    assert np.abs(mean - 10).max() < 1e-9
    assert np.abs(axis - 10).max() < 1e-9


def test_energy_closes():
    # Storage equals the integral of all surface fluxes, to 1e-6 relative.
    rng = np.random.default_rng(1)
    forcing = still(500)
    forcing[0, :, 0] += 8 * np.sin(np.arange(500) / 4) + rng.normal(0, 2, 500)
    forcing[5:7] = np.maximum(0, 400 * np.sin(np.arange(500) * 2 * np.pi / 24))[:, None]
    shells, values, film = pot_parts((0.4, 0.6))
    _, _, gained, ends = run(shells, values, film, forcing, 10.0)
    stored = float(shells.shares @ ends.state[:, 0]) - 10.0
    assert stored == pytest.approx(gained[0], rel=1e-6, abs=1e-9)
    assert not ends.ice.any()


def test_energy_closes_through_frost():
    # Storage in temperature and ice equals the integral of all surface fluxes.
    forcing = still(200, air=-4.0, vapor=300.0)
    shells, values, film = pot_parts((0.4, 0.6))
    values[11] = 40.0
    _, axis, gained, ends = run(shells, values, film, forcing, 5.0)
    frozen = float(shells.shares @ ends.ice[:, 0])
    stored = float(shells.shares @ ends.state[:, 0]) - 5.0 - 40.0 * frozen
    assert stored == pytest.approx(gained[0], rel=1e-6, abs=1e-9)
    # The axis waits at the freezing point for its latent heat.
    assert frozen == 1.0
    assert (np.abs(axis + 0.1) < 0.05).sum() >= 10


def test_no_overshoot_after_a_jump():
    # L-stable: a 20 K jump of the air is approached from one side only.
    forcing = still(60, air=30.0, vapor=1000.0)
    mean, axis, _, ends = run(*pot_parts(), forcing, 10.0, substeps=1)
    assert (np.diff(mean[:, 0]) >= -1e-9).all()
    assert mean.max() <= 30.0
    assert axis.max() <= 30.0
    assert ends.state.max() <= 30.0


@pytest.mark.parametrize(("key", "film"), [("EV05", 10.0), ("EV06", 4.0)])
def test_freely_wet_body_settles_above_the_wet_bulb(key, film):
    # Energy balance of rows EV05, EV06: 25 C, 40 %, radiative coefficient 5.5.
    forcing = still(400, air=25.0, vapor=0.4 * 3169.7)
    shells, values, table = pot_parts(
        (1.0, 1.0), emissivity=5.5 / (4 * SIGMA * 294.5**3)
    )
    values[2], table[:, 0] = 0.0, film
    mean, _, _, _ = run(shells, values, table, forcing, 20.0, psychrometric=60.3)
    assert mean[-1, 0] == pytest.approx(expected(key), abs=0.12)


def test_freely_wet_body_without_radiation_settles_at_the_wet_bulb():
    # EV04: thermodynamic wet bulb 16.21; 15.9 with the Lewis number of water vapor.
    forcing = still(400, air=25.0, vapor=0.4 * 3169.7)
    shells, values, table = pot_parts((1.0, 1.0), emissivity=0.0)
    values[2], table[:, 0] = 0.0, 10.0
    mean, _, _, _ = run(shells, values, table, forcing, 20.0, psychrometric=60.3)
    assert mean[-1, 0] == pytest.approx(expected("EV04"), abs=0.6)
    assert mean[-1, 0] == pytest.approx(15.9, abs=0.1)


def test_dry_pot_under_a_clear_sky_is_between_sky_and_air():
    forcing = still(300, air=5.0)
    sky = 0.75 * SIGMA * (5.0 + ZERO) ** 4
    forcing[3:5] = sky
    mean, _, _, _ = run(*pot_parts(), forcing, 5.0)
    assert (0.75**0.25) * 278.15 - ZERO < mean[-1, 0] < 5.0


def test_single_precision_is_good_enough():
    rng = np.random.default_rng(2)
    base = still(2000)
    base[0, :, 0] += 6 * np.sin(np.arange(2000) / 3.8) + rng.normal(0, 1, 2000)
    double, _, _, _ = run(*pot_parts((0.3, 0.5)), base, 10.0)
    shells, values, film = pot_parts((0.3, 0.5), dtype=np.float32)
    single, _, _, _ = run(shells, values, film, base.astype(np.float32), 10.0)
    assert np.abs(double - single).max() < 1e-3


def test_saturation_polynomial_against_wmo():
    # Lowe's polynomial within 0.6 % of WMO-No. 8 Magnus over water, -20 to 45 C.
    from climrisk.physics.humidity import saturation_pressure_pa

    t = np.linspace(-20, 45, 131)
    kind = np.float64
    got = np.array([saturation(x, kind) for x in t])
    assert got == pytest.approx(saturation_pressure_pa(t), rel=0.006)
    slope = np.array([saturation_slope(x, kind) for x in t])
    step = 1e-4
    numeric = [
        (saturation(x + step, kind) - saturation(x - step, kind)) / (2 * step)
        for x in t
    ]
    assert slope == pytest.approx(numeric, rel=1e-6)


def test_against_scipy_over_a_week():
    """The same equations written anew, integrated by LSODA: 0.02 K rms."""
    rng = np.random.default_rng(3)
    hours = 24 * 7
    t = np.arange(hours)
    forcing = still(hours)
    forcing[0, :, 0] = (
        8 + 6 * np.sin(2 * np.pi * (t - 9) / 24) + rng.normal(0, 0.3, hours)
    )
    forcing[1, :, 0] = 700 + 50 * np.sin(t / 9)
    forcing[3, :, 0] = 300 + 10 * np.sin(t / 30)
    forcing[4, :, 0] = 270 + 20 * np.sin(t / 30)
    forcing[5, :, 0] = np.maximum(0, 120 * np.sin(2 * np.pi * (t - 6) / 24))
    forcing[6, :, 0] = np.maximum(0, 250 * np.sin(2 * np.pi * (t - 6) / 24))
    forcing[7, :, 0] = 9 + 2 * np.sin(2 * np.pi * (t - 12) / 24)
    shells, values, film = pot_parts((0.3, 0.6))
    mean, _, _, _ = run(shells, values, film, forcing, 8.0)
    p = values[:, 0]

    def magnus(x):
        return 611.2 * math.exp(17.62 * x / (243.12 + x))

    def surface(node, g, h, air, vapor, lw, sun, eps, a, beta):
        def balance(ts):
            lack = magnus(ts) - vapor
            wet = beta if lack > 0 else 1.0
            return (
                g * (node - ts)
                + h * (air - ts)
                + eps * lw
                + a * sun
                - eps * SIGMA * (ts + ZERO) ** 4
                - wet * h / 60.0 * lack
            )

        return brentq(balance, -30, 60, xtol=1e-6)

    def rate(seconds, y):
        f = [np.interp(seconds / 3600, t, forcing[i, :, 0]) for i in range(8)]
        mid = float(shells.shares @ y)
        wall = surface(y[-1], p[0], 8.0, f[0], f[1], f[3], f[5], p[7], p[5], p[9])
        top = surface(mid, p[1], 6.0, f[0], f[1], f[4], f[6], p[8], p[6], p[10])
        out = np.zeros(8)
        out[1:] += shells.inward[1:] * (y[:-1] - y[1:])
        out[:-1] += shells.outward[:-1] * (y[1:] - y[:-1])
        out[-1] += p[3] * p[0] * (wall - y[-1])
        # The column's mean decides the surface; each shell trades by its own slope.
        slope = _slope(mid, top, p[1], 6.0, p[8], p[10], f[1])
        out += p[4] * (p[1] * (top - mid) + slope * (y - mid))
        out += p[4] * p[2] * (f[7] - y)
        return out

    def _slope(node, ts, g, h, eps, beta, vapor):
        wet = beta if magnus(ts) > vapor else 1.0
        curve = magnus(ts) * 17.62 * 243.12 / (243.12 + ts) ** 2
        s = -h - 4 * eps * SIGMA * (ts + ZERO) ** 3 - wet * h / 60.0 * curve
        return g * s / (g - s)

    solved = solve_ivp(
        rate,
        (0, (hours - 1) * 3600),
        np.full(8, 8.0),
        method="LSODA",
        rtol=1e-4,
        atol=1e-4,
        t_eval=t * 3600.0,
        max_step=1800,
    )
    reference = shells.shares @ solved.y
    rms = float(np.sqrt(np.mean((mean[:, 0] - reference) ** 2)))
    assert rms < 0.02
