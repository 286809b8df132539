"""A drift or a break of the winters reaches the answer."""

from __future__ import annotations

from datetime import date

import numpy as np

from climrisk.commands.assess.compute import assess
from climrisk.commands.assess.text import assess_text
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.winter.compute import winter
from climrisk.commands.winter.text import winter_text
from climrisk.spot.kinds import spot_kind
from climrisk.weather.series import WeatherSeries
from climrisk.weather.synthetic import demo_weather
from tests.asking import question
from tests.made_weather_series import climate


def shifted(weather, change):
    air = weather.air_temp_c.copy() + change[:, None]
    return WeatherSeries.build(
        weather.time,
        {**weather.values, "air_temp_c": air, "dew_point_c": air - 4},
        place=weather.place,
        source=weather.source,
    )


def seen(weather):
    return winter(
        weather, NamedSpot.of(spot_kind("as-measured")), below=(5.0,), members=1
    )


def test_the_demo_weather_has_no_trend():
    result = seen(demo_weather())
    assert result.drift.kind == "none"
    assert "no trend and no break" in winter_text(result)


def test_a_station_that_moved_is_named_with_its_winter():
    weather = climate(years=20, noise=2.0)
    years = (weather.time - weather.time[0]) / np.timedelta64(525_960, "m")
    result = seen(shifted(weather, np.where(years >= 11, 2.0, 0.0)))
    assert result.drift.kind == "break"
    assert result.drift.break_in == "2021/22"
    assert "may have moved" in result.drift.words


def test_warming_is_named_with_what_it_does_to_dates():
    weather = climate(years=30, noise=2.0)
    years = (weather.time - weather.time[0]) / np.timedelta64(525_960, "m")
    warming = shifted(weather, 0.06 * years.astype(float))
    result = seen(warming)
    assert result.drift.kind == "trend"
    assert abs(result.drift.k_per_decade - 0.6) < 0.2
    request = question(
        "Cymbidium, standard hybrids",
        spot="as-measured",
        today=date(2026, 11, 25),
        members=1,
    )
    assert "too cautious for today" in assess_text(assess(warming, request))


def test_few_winters_show_nothing():
    assert seen(climate(years=6)).drift is None
