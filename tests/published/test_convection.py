"""Film coefficients against the worked examples of Cengel & Ghajar (5th ed.)."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.physics import convection as cv
from climrisk.physics.surface import leaf_temp_c
from tests.published.rows import ROWS, expected, inputs


def test_cylinder_in_cross_flow_example_7_5():
    # Example 7-5: Nu = 124 at V = 8 m/s, D = 0.1 m, nu = 1.896e-5, Pr = 0.7202.
    row = inputs("CV01")
    reynolds = row["V"] * row["D_m"] / row["nu"]
    assert cv.cylinder_in_wind_nusselt(reynolds, row["Pr"]) == pytest.approx(
        124, abs=0.6
    )


@pytest.mark.parametrize("key", [f"CV{i}" for i in range(11, 18)])
def test_pot_sizes(key):
    # Eq. 7-35 with CoolProp's air at 10 C.
    row = inputs(key)
    nu = cv.cylinder_in_wind_nusselt(row["U"] * row["D_m"] / cv.AIR_VISCOSITY)
    assert nu * cv.AIR_CONDUCTIVITY / row["D_m"] == pytest.approx(
        expected(key), abs=0.02
    )


def test_still_wall_and_plates():
    # Churchill & Chu 1975, laminar; eqs. 9-22 and 9-24.
    row = inputs("CV18")
    nu = cv.still_wall_nusselt(np.array(row["Ra"]), row["Pr"])
    assert nu * cv.AIR_CONDUCTIVITY / 0.12 == pytest.approx(expected("CV18"), abs=0.02)
    ra = np.array(inputs("CV10")["Ra"])
    assert cv.still_top_nusselt(ra, warm=True) == pytest.approx(
        expected("CV09"), abs=0.05
    )
    assert cv.still_top_nusselt(ra, warm=False) == pytest.approx(
        expected("CV10"), abs=0.05
    )


def test_rayleigh_of_a_pot():
    # Row CV18: Ra = 6.31e5 for 3 K and 0.12 m in air at 10 C.
    assert cv.rayleigh(3.0, 0.12) == pytest.approx(6.31e5, rel=0.01)
    assert "dT=3 K" in ROWS["CV18"]["quantity"]


def test_mixed_is_at_least_each_part():
    assert cv.mixed(np.array(5.0), 3.0) == pytest.approx(152 ** (1 / 3))


def test_leaf_under_a_clear_still_sky_is_one_to_three_kelvin_below_air():
    # Leuning & Cremer 1988, Agric. For. Meteorol. 42:121: 1 to 3 K below air.
    from climrisk.physics.longwave import longwave_down_w_m2

    air = np.array([[5.0]], dtype=np.float32)
    sky = longwave_down_w_m2(air, air - 3.0, np.zeros_like(air)).astype(np.float32)
    dark = np.zeros_like(air)
    leaf = leaf_temp_c(
        air, air * 0 + 0.6, longwave_above_w_m2=sky, surroundings_c=air, solar_w_m2=dark
    )
    assert 1.0 < float((air - leaf)[0, 0]) < 3.5


def test_leaf_two_newton_steps_reach_the_root():
    from scipy.optimize import brentq

    air, wind, above, sun = 20.0, 1.0, 300.0, 700.0
    film = 2 * float(
        cv.AIR_CONDUCTIVITY
        / 0.08
        * 1.4
        * 0.664
        * np.sqrt(wind * 0.08 / cv.AIR_VISCOSITY)
        * cv.AIR_PRANDTL ** (1 / 3)
    )

    def balance(t):
        k = t + 273.15
        gain = 0.96 * (above + 5.670374e-8 * 293.15**4) + 0.5 * sun
        return gain - 2 * 0.96 * 5.670374e-8 * k**4 + film * (air - t)

    one = np.ones((1, 1), np.float32)
    got = leaf_temp_c(
        air * one,
        wind * one,
        longwave_above_w_m2=above * one,
        surroundings_c=air * one,
        solar_w_m2=sun * one,
    )
    assert float(got[0, 0]) == pytest.approx(brentq(balance, 0, 60), abs=0.02)
