"""The invented record has the texture that it promises."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.physics.solar import clear_sky_ghi_w_m2, night_hours, sun_path
from climrisk.weather.synthetic import demo_weather


@pytest.fixture(scope="module")
def nights():
    weather = demo_weather()
    seasons = weather.seasons()
    dark = night_hours(sun_path(weather.time, 44.1, 15.1))
    index = seasons.night - seasons.night.min()
    count = int(index.max()) + 1
    lowest = np.full(count, np.inf)
    np.minimum.at(lowest, index, weather.air_temp_c[:, 0])
    hours = np.maximum(np.bincount(index[dark], minlength=count), 1)

    def mean(name):
        values = weather.values[name][:, 0][dark]
        return np.bincount(index[dark], values, count) / hours

    table = {
        "lowest": lowest,
        "wind": mean("wind_speed_m_s"),
        "cloud": mean("cloud_cover_frac"),
        "month": seasons.evenings.month,
        "year": seasons.evenings.growing_year,
        "day": seasons.evenings.day,
    }
    return {k: v[1:-1] for k, v in table.items()}


def anomaly(nights):
    """Nightly minima without the yearly wave (three harmonics)."""
    phase = 2 * np.pi * nights["day"] / 365.25
    waves = [f(k * phase) for k in (1, 2, 3) for f in (np.sin, np.cos)]
    design = np.column_stack([np.ones(len(phase)), *waves])
    fit = np.linalg.lstsq(design, nights["lowest"], rcond=None)[0]
    return nights["lowest"] - design @ fit


def spells(mask):
    """Number of runs of at least two nights."""
    edges = np.diff(np.concatenate([[0], mask.astype(int), [0]]))
    return int((np.flatnonzero(edges < 0) - np.flatnonzero(edges > 0) >= 2).sum())


def test_thirty_growing_years_without_a_gap():
    weather = demo_weather()
    seasons = weather.seasons()
    assert len(np.unique(seasons.growing_year)) == 30
    assert len(weather) == 24 * 10958
    assert all(np.isfinite(v).all() for v in weather.values.values())


def test_minima_remember_the_night_before(nights):
    noise = anomaly(nights)
    winter = np.isin(nights["month"], (11, 12, 1, 2, 3))
    pairs = winter[1:] & winter[:-1]
    assert 0.6 <= np.corrcoef(noise[1:][pairs], noise[:-1][pairs])[0, 1] <= 0.8
    assert 0.6 <= np.corrcoef(noise[1:], noise[:-1])[0, 1] <= 0.8


def test_winters_differ_and_show_no_trend(nights):
    years = np.unique(nights["year"])
    coldest = np.array([nights["lowest"][nights["year"] == y].min() for y in years])
    assert 1.5 <= coldest.std(ddof=1) <= 2.5
    mean = np.array([nights["lowest"][nights["year"] == y].mean() for y in years])
    for series in (coldest, mean):
        x = np.arange(len(series)) - (len(series) - 1) / 2
        slope = (x * (series - series.mean())).sum() / (x**2).sum()
        rest = series - series.mean() - slope * x
        error = np.sqrt((rest**2).sum() / (len(x) - 2) / (x**2).sum())
        assert abs(slope) < 2 * error


def test_every_winter_has_both_kinds_of_cold(nights):
    noise = anomaly(nights)
    windy = (nights["wind"] >= 7) & (noise < -1)
    still = (nights["wind"] <= 2) & (nights["cloud"] <= 0.25)
    for year in np.unique(nights["year"]):
        winter = (nights["year"] == year) & np.isin(nights["month"], (11, 12, 1, 2, 3))
        assert spells(windy[winter]) >= 3
        assert spells(still[winter]) >= 5


def test_light_follows_sun_and_cloud():
    weather = demo_weather()
    sun = sun_path(weather.time, 44.1, 15.1)
    light = weather.values["ghi_w_m2"][:, 0]
    cloud = weather.values["cloud_cover_frac"][:, 0]
    assert light[sun.elevation_deg < -1].max() == 0
    assert (light <= clear_sky_ghi_w_m2(sun) + 0.5).all()
    high = sun.elevation_deg > 30
    assert np.corrcoef(light[high], cloud[high])[0, 1] < -0.5


def test_dew_point_never_passes_the_air():
    weather = demo_weather()
    assert (weather.values["dew_point_c"] <= weather.air_temp_c).all()


def test_same_seed_same_weather_other_seed_other_weather():
    assert demo_weather() is demo_weather()
    assert not np.array_equal(demo_weather(3).air_temp_c, demo_weather().air_temp_c)
