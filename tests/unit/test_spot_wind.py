"""Wind and gusts at a spot: floor, screen, and what a record does not know."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.site import Site
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.spot.wind import floor_ratio, gust_at_spot, gust_left, wind_at_spot
from climrisk.weather.series import WeatherSeries
from tests.made_weather_series import climate

ONE = ensemble(1)
BALCONY = spot_kind("roofed-balcony")


def with_site(name, **fields):
    return replace(spot_kind(name), site=Site(**fields))


def gusts(kind, wind, gust, members=ONE):
    wind = None if wind is None else np.array(wind, float)[:, None]
    gust = None if gust is None else np.array(gust, float)[:, None]
    hours = len(wind if wind is not None else gust)
    return gust_at_spot(kind, members, wind, gust, (hours, members.count))


def test_nothing_told_keeps_the_prior():
    wind = np.array([[0.0], [3.0], [10.0]])
    got = wind_at_spot(BALCONY, ONE, wind, (3, 1))
    # The kind's ratio is 0.3; never below 0.1 m/s.
    assert got[:, 0] == pytest.approx([0.1, 0.9, 3.0])


def test_a_floor_goes_by_the_log_law_over_rough_ground():
    # By hand: a usual third floor stands at 10 m, the fifth at 16 m, roughness 0.5 m:
    # ln(32) / ln(20) = 1.1569.
    assert floor_ratio(with_site("roofed-balcony", floor=5)) == pytest.approx(
        1.1569, abs=1e-4
    )
    assert floor_ratio(with_site("roofed-balcony", floor=3)) == 1.0
    assert floor_ratio(with_site("wall-shelf", floor=0)) == 1.0
    assert floor_ratio(BALCONY) == 1.0
    rising = [floor_ratio(with_site("roofed-balcony", floor=f)) for f in range(12)]
    assert rising == sorted(rising)
    assert 0 < rising[0] < 1


@pytest.mark.parametrize("name", ["as-measured", "heated-room", "window-sill"])
def test_a_floor_says_nothing_where_the_sensor_hangs_or_indoors(name):
    assert floor_ratio(with_site(name, floor=9)) == 1.0


def test_shelter_takes_less_of_a_gust_than_of_the_wind():
    # Of the mean 0.3 is left, of the 7 m/s that the gust adds 0.3 to the power of 0.4,
    # by hand 0.6178.
    assert gusts(BALCONY, [5.0], [12.0]) == pytest.approx(
        0.3 * 5 + 0.6178 * 7, abs=1e-3
    )
    # Nothing is taken where the sensor hangs.
    assert gusts(spot_kind("as-measured"), [5.0], [12.0]) == pytest.approx(12)


def test_no_eddies_come_through_panes():
    assert gusts(spot_kind("glazed-balcony"), [5.0], [12.0]) == pytest.approx(0.04 * 12)


def test_a_higher_floor_adds_to_the_wind_but_not_to_what_gusts_add():
    high = replace(with_site("as-measured"), wind_mean=1.2)
    assert gusts(high, [5.0], [12.0]) == pytest.approx(1.2 * 5 + 7)


def test_without_a_gust_the_factor_stands_in_and_unknown_stays_unknown():
    # 1.5: between 1.66 (Harper et al. 2010, WMO/TD-No. 1555, in-land) and the 1.35 of
    # three airports, as tests/published/test_wind.py counts.
    got = gusts(BALCONY, [5.0, np.nan, np.nan, 8.0], [np.nan, 9.0, np.nan, 6.0])
    assert got[0, 0] == pytest.approx(0.3 * 5 + 0.6178 * 2.5, abs=1e-3)
    # Of the gust of 9 alone the mean is 9 / 1.5 = 6.
    assert got[1, 0] == pytest.approx(0.3 * 6 + 0.6178 * 3, abs=1e-3)
    assert np.isnan(got[2, 0])
    # A gust below the mean wind is a slip: the mean stands.
    assert got[3, 0] == pytest.approx(0.3 * 8)
    assert np.isnan(gusts(BALCONY, [np.nan], None)).all()


def test_what_shelter_leaves_of_a_gust_has_a_range():
    many = ensemble(40)
    kind = replace(BALCONY, wind_sd=0.0)
    got = gusts(kind, [5.0], [12.0], many)
    # d(7 * 0.3**p)/dp at 0.4 is 7 * 0.6178 * ln(0.3) = -5.207; times 0.1.
    assert got.std() == pytest.approx(0.52, rel=0.1)
    sheltered = got / (0.3 * 12)
    assert (sheltered > 1).all()


def test_the_factor_has_its_spread():
    many = ensemble(40)
    kind = replace(spot_kind("as-measured"), wind_sd=0.0)
    by_mean = gusts(kind, [10.0], None, many)
    assert by_mean.std() == pytest.approx(0.13 * 15, rel=0.15)
    assert gusts(kind, [10.0], [16.6], many).std() < 1e-6


def test_a_screen_slows_the_wind_more_than_its_gusts():
    screened = with_site("roofed-balcony", screen_open_frac=0.5)
    shape = (1, 1)
    slow = wind_at_spot(screened, ONE, np.array([[10.0]]), shape)
    assert slow / wind_at_spot(BALCONY, ONE, np.array([[10.0]]), shape) == (
        pytest.approx(0.56)
    )
    left = gusts(screened, [10.0], [15.0]) / gusts(BALCONY, [10.0], [15.0])
    # By hand: (0.168 * 10 + 0.168**0.4 * 5) / (0.3 * 10 + 0.3**0.4 * 5).
    assert left == pytest.approx(0.6782, abs=5e-4)
    # The gust of 1.5 times the mean wind is the one that advice counts with.
    assert gust_left(0.56, 0.3) == pytest.approx(float(left[0, 0]), abs=1e-6)
    assert gust_left(1.0, 0.3) == 1.0


def test_a_record_without_wind_has_no_gusts():
    weather = climate(years=1, full=False)
    made = spot_climate(prepare(weather, ensemble(2)), spot_kind("as-measured"))
    assert np.isfinite(made.wind_m_s).all()  # a stand-in, told in `assumed`
    assert np.isnan(made.gust_m_s).all()


@pytest.mark.parametrize("name", KINDS)
def test_gusts_are_never_weaker_than_the_wind(name):
    weather = climate(years=1)
    values = {k: v[:, 0] for k, v in weather.values.items()}
    values["wind_gust_m_s"] = np.where(np.arange(len(weather)) % 3 == 0, 5.0, np.nan)
    gusty = WeatherSeries.build(
        weather.time, values, place=weather.place, source=weather.source
    )
    made = spot_climate(prepare(gusty, ensemble(4)), spot_kind(name))
    assert made.gust_m_s.shape == made.wind_m_s.shape
    assert (made.gust_m_s >= made.wind_m_s - 1e-6).all()
