"""Glass among a spot's surroundings: its heat balance, and what it does to a leaf.

Expected values come from EN 673 and ISO 6946 (numbers as in textbooks), and from a
bisection of the balances written here.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from climrisk.physics.longwave import sky_emissivity
from climrisk.physics.surface import pane_temp_c
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import Place, Source, WeatherSeries

SIGMA, ZERO = 5.670374419e-8, 273.15


def black(t):
    return SIGMA * (t + ZERO) ** 4


def pane(inside, outside, wind, sky_w_m2, view):
    """Temperature of a single pane by bisection."""

    def balance(t):
        convection = (4 + 4 * wind) * (t - outside)
        seen = view * sky_w_m2 + (1 - view) * black(outside)
        return (inside - t) / 0.13 - convection - 0.84 * (black(t) - seen)

    return brentq(balance, -60, 60)


def test_single_glass_loses_what_the_standard_says():
    # EN 673: U of single glass is 5.8 W/m2K in a wind of 4 m/s under an overcast sky.
    one = np.ones(1)
    glass = float(pane_temp_c(20 * one, 0 * one, 4 * one, black(0) * one, 0.5)[0])
    assert (20 - glass) / 0.13 / 20 == pytest.approx(5.8, abs=0.2)


@pytest.mark.parametrize("inside", [-2.0, 4.0, 12.0])
@pytest.mark.parametrize("wind", [0.1, 1.0, 4.0])
@pytest.mark.parametrize("view", [0.25, 0.75])
def test_pane_against_bisection(inside, wind, view):
    sky = 0.72 * black(1.0)
    one = np.ones(1)
    got = float(pane_temp_c(inside * one, one, wind * one, sky * one, view)[0])
    assert got == pytest.approx(pane(inside, 1.0, wind, sky, view), abs=0.1)


def test_glass_under_a_clear_calm_sky_is_colder_than_the_air_outdoors():
    one = np.ones(1)
    clear = float(pane_temp_c(3 * one, one, 0.2 * one, 0.72 * black(one), 0.75)[0])
    cloudy = float(pane_temp_c(3 * one, one, 0.2 * one, black(one), 0.75)[0])
    assert clear < 1.0 < cloudy < 3.0


def nights(cloud, wind):
    hours = np.arange(24 * 12)
    time = np.datetime64("2021-01-01T00:00", "m") + hours * np.timedelta64(60, "m")
    values = {
        "air_temp_c": 5 + 5 * np.cos(2 * np.pi * (hours - 13) / 24),
        "dew_point_c": np.full(len(hours), -1.0),
        "wind_speed_m_s": np.full(len(hours), wind),
        "cloud_cover_frac": np.full(len(hours), cloud),
    }
    return WeatherSeries.build(
        time,
        values,
        place=Place("Veladrag", 45.0, 0.0, 5.0, "UTC"),
        source=Source("station", "Veladrag", "", "station"),
    )


def leaf_and_air(cloud, wind):
    prepared = prepare(nights(cloud, wind), ensemble(1))
    climate = spot_climate(prepared, spot_kind("glasshouse"))
    row = 24 * 10 + 4
    return climate, row, float(climate.leaf_c[row, 0]), float(climate.air_c[row, 0])


def test_leaf_in_a_glasshouse_on_a_clear_calm_night():
    """Nine tenths of what a leaf sees above is glass; below it the floor.

    The pane by bisection from the air on both sides, then the leaf likewise.
    """
    climate, row, leaf, air = leaf_and_air(cloud=0.0, wind=1.0)
    outside, dew = 5 + 5 * np.cos(2 * np.pi * (row - 13) / 24), -1.0
    sky = float(sky_emissivity(np.array(dew), np.array(0.0))) * black(outside)
    glass = pane(air, outside, 0.4, sky, 0.75)
    around = float(climate.surroundings_c[row, 0])
    above = 0.9 * black(glass) + 0.1 * black(around)
    reynolds = float(climate.wind_m_s[row, 0]) * 0.08 / 1.4204e-5
    film = 2 * 1.4 * 0.664 * np.sqrt(reynolds) * 0.7093 ** (1 / 3) * 0.02512 / 0.08

    def balance(t):
        gain = 0.98 * (above + black(around) - 2 * black(t))
        return gain + film * (air - t)

    assert leaf == pytest.approx(brentq(balance, -40, 40), abs=0.06)
    assert leaf < air


def test_cloud_warms_the_leaf_under_glass():
    below = []
    for cloud in (0.0, 0.5, 1.0):
        _, _, leaf, air = leaf_and_air(cloud, 1.0)
        below.append(leaf - air)
    assert below == sorted(below)
    assert below[0] < -0.5
    assert below[2] > 0.0  # the floor still gives back the day's heat
