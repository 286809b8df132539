"""Places and days at the edges of maps, clocks and calendars."""

from __future__ import annotations

import contextlib
import math

import numpy as np
import pandas as pd
import pytest

from climrisk import hours_beyond
from climrisk.core.calendar import standard_offset_min
from climrisk.core.errors import InputError
from climrisk.weather.series import Place, Source, WeatherSeries
from tests.asking import assess, calendar, winter
from tests.quick import but_quick

#: Zones whose offset from UTC is no whole number of hours.
HALF = {
    "Asia/Kolkata": (22.6, 88.4),
    "Asia/Kathmandu": (27.7, 85.3),
    "Australia/Adelaide": (-34.9, 138.6),
    "America/St_Johns": (47.6, -52.7),
    "Pacific/Chatham": (-43.9, -176.5),
    "Australia/Lord_Howe": (-31.6, 159.1),
}
EDGES = {
    "Pacific/Kiritimati": (1.9, -157.4),
    "Pacific/Apia": (-13.8, -171.8),
    "Pacific/Fiji": (-17.7, 179.99),
    "Etc/GMT+12": (0.0, -180.0),
    "Etc/GMT-12": (0.0, 180.0),
    "Arctic/Longyearbyen": (89.0, 15.0),
    "Antarctica/McMurdo": (-89.0, 166.0),
    "Africa/Libreville": (0.0, 9.4),
}
PLACES = HALF | EDGES


def record(zone, latitude, longitude, start="2019-01-01", days=3 * 365 + 1):
    """Return hours of a daily wave that is coldest at 4 in local standard time."""
    time = pd.date_range(start, periods=24 * days, freq="h")
    offset = standard_offset_min(zone, 2020) / 60
    local = np.asarray(time.hour + offset)
    season = np.cos(2 * np.pi * (np.asarray(time.day_of_year) - 20) / 365.25)
    north = 1 if latitude >= 0 else -1
    air = 12 - north * 8 * season - 4 * np.cos(2 * np.pi * (local - 4) / 24)
    place = Place("made", latitude, longitude, 100.0, zone)
    return WeatherSeries.build(
        time.to_numpy("datetime64[m]"),
        {"air_temp_c": air},
        place=place,
        source=Source("station", "made", "", "station"),
    )


@pytest.mark.parametrize("zone", but_quick(PLACES, "Pacific/Apia", "Asia/Kolkata"))
def test_the_whole_answer_at_the_edge_of_the_map(zone):
    weather = record(zone, *PLACES[zone])
    result = assess("Masdevallia", weather, spot="roofed-balcony", members=2)
    assert math.isfinite(result.air.lowest_c.mid)
    dates = calendar(weather, ["Masdevallia"], members=2)
    assert len(dates.months[0].states) == 12
    nights = winter(weather, plant="Masdevallia", members=2)
    assert nights.worst
    cold = hours_beyond(weather, below=[10.0]).below[0]
    air = weather.air_temp_c.ravel()
    assert cold.hours == int((air < 10.0).sum())
    assert sum(cold.by_month.values()) == cold.hours


@pytest.mark.parametrize("zone", HALF)
def test_months_are_those_of_local_standard_time(zone):
    weather = record(zone, *HALF[zone])
    minutes = standard_offset_min(zone, 2020)
    assert minutes % 60
    local = pd.DatetimeIndex(weather.time) + pd.Timedelta(minutes=minutes)
    below = weather.air_temp_c.ravel() < 10.0
    by_month = hours_beyond(weather, below=[10.0]).below[0].by_month
    for month in range(1, 13):
        # An hour belongs to the month in which it begins.
        assert by_month[str(month)] == int((below & (local.month == month)).sum())


def test_the_29th_of_february_is_a_day_like_others():
    weather = record("Europe/Zagreb", 45.8, 16.0, start="2019-07-01", days=366)
    february = pd.DatetimeIndex(weather.time) + pd.Timedelta(hours=1)
    one = february.date == pd.Timestamp("2020-02-29").date()
    assert one.sum() == 24
    counted = hours_beyond(weather, below=[99.0 - 40]).below[0]
    assert counted.by_month["2"] == 29 * 24
    for today in ("2024-02-29", "2025-02-28", "2026-03-01"):
        dates = calendar(weather, ["Masdevallia"], members=1, as_of=today)
        assert dates.as_of == today


@pytest.mark.parametrize("hours", [1, 2, 23, 25])
def test_a_record_of_hours_is_answered_or_refused(hours):
    whole = record("Europe/Zagreb", 45.8, 16.0, days=3)
    weather = whole.between(0, hours)
    result = hours_beyond(weather, below=[30.0])
    assert result.below[0].hours == hours
    for call in (
        lambda: assess("Masdevallia", weather, spot="roofed-balcony", members=1),
        lambda: calendar(weather, ["Masdevallia"], members=1),
        lambda: winter(weather, plant="Masdevallia", members=1),
    ):
        with contextlib.suppress(InputError):
            call()


@pytest.mark.long
def test_a_record_of_eighty_years_is_answered(counted):
    days = 80 * 365 + 20
    weather = record("Europe/Zagreb", 45.8, 16.0, start="1940-07-01", days=days)
    result = assess("Masdevallia", weather, spot="roofed-balcony", members=2)
    dates = calendar(weather, ["Masdevallia"], members=2)
    nights = winter(weather, plant="Masdevallia", members=2)
    assert len(nights.winters) in (79, 80)
    assert math.isfinite(result.air.lowest_c.mid)
    assert dates.months
    counted(f"{len(weather):,} hours")
