"""Several stations as one record: weights, lapse, gaps, by hand and by the client."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.core.constants import DAY_LAPSE_K_KM, NIGHT_LAPSE_K_KM
from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.core.quantities import in_units
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from climrisk.weather.stations.combined import combined
from climrisk.weather.stations.info import StationInfo
from climrisk.weather.stations.station import load_chosen
from tests.unit.test_station_client import NOW, fresh_room, made, room, server

__all__ = ["made", "room", "server"]

HOURS = 24 * 20
TIME = np.datetime64("2021-01-01T00:00", "m") + 60 * np.arange(HOURS)


def station(key, km, height, air, start=0, **values):
    info = StationInfo(
        *(key, f"Made {key}", "XX", 45.0, 15.0, height, "Etc/GMT-1", km),
        *("2010-01-01", "2021-12-31"),
    )
    air = np.asarray(air, float)
    series = WeatherSeries.build(
        TIME[start : start + len(air)],
        {"air_temp_c": air, **values},
        place=Place(info.name, 45.0, 15.0, height, "Etc/GMT-1"),
        source=Source("station", f"{info.name} ({key})", f"Data: {key}", "station"),
    )
    return info, series


def field(height):
    """Air that falls with height as the lapse says, by night and by day."""
    from climrisk.physics.solar import sun_path

    base = 10 + 5 * np.cos(2 * np.pi * np.arange(HOURS) / 24)
    day = sun_path(TIME, 45.0, 15.0).elevation_deg > 0
    lapse = np.where(day, DAY_LAPSE_K_KM[0], NIGHT_LAPSE_K_KM[0]) / 1000
    return base - lapse * height


def test_weights_are_those_of_distance_and_height():
    # 1 / hypot(d, 10 dz)^2 by hand: 10 km and 0 m, 20 km and 0 m, 10 km and 1000 m.
    parts = [
        station("A", 10, 100.0, np.full(HOURS, 4.0) + np.arange(HOURS) % 3),
        station("B", 20, 100.0, np.full(HOURS, 8.0) + np.arange(HOURS) % 3),
    ]
    series = combined(parts, 100.0)
    w = np.array([1 / 10**2, 1 / 20**2])
    expected = (w @ [4.0, 8.0]) / w.sum() + np.arange(HOURS) % 3
    assert series.air_temp_c[:, 0] == pytest.approx(expected, abs=0.0051)
    assert series.place.elevation_m == 100.0
    assert any(
        "A), 10 km away at 100 m: weight 80%" in n
        for n in (in_units(x, "metric") for x in series.notes)
    )


def test_a_field_that_falls_with_height_is_found_again():
    parts = [
        station("A", 10, 50.0, field(50.0)),
        station("B", 12, 350.0, field(350.0)),
        station("C", 18, 220.0, field(220.0)),
    ]
    series = combined(parts, 120.0)
    height = series.place.elevation_m
    assert 50 < height < 350
    assert series.air_temp_c[:, 0] == pytest.approx(field(height), abs=0.006)


def test_where_a_station_is_silent_the_lapse_stands_in():
    high = field(350.0)
    high[100:150] = np.nan
    parts = [station("A", 10, 50.0, field(50.0)), station("B", 10, 350.0, high)]
    series = combined(parts, 200.0)
    # Without the lapse the air would jump by half a kelvin where the mountain is lost.
    assert series.air_temp_c[:, 0] == pytest.approx(
        field(series.place.elevation_m), abs=0.006
    )
    assert np.isfinite(series.air_temp_c).all()


def test_a_station_beside_the_place_stands_alone():
    parts = [
        station("A", 30, 100.0, field(100.0)),
        station("B", 4.9, 130.0, field(130.0) + 1.0),
    ]
    series = combined(parts, 100.0)
    assert series.source.label == "Made B (B)"
    assert np.array_equal(series.air_temp_c, parts[1][1].air_temp_c)


def test_an_hour_is_known_where_any_station_knows_it():
    parts = [
        station("A", 10, 100.0, field(100.0)[:200]),
        station("B", 20, 100.0, field(100.0)[300:], start=300),
    ]
    series = combined(parts, 100.0)
    known = np.isfinite(series.air_temp_c[:, 0])
    assert len(series) == HOURS
    assert known.sum() == 200 + HOURS - 300
    assert not known[200:300].any()
    assert (series.origin[200:300] == Origin.MISSING).all()
    assert (series.origin[known] == Origin.MEASURED).all()


def test_other_variables_and_credits_are_taken_together():
    wind = np.full(HOURS, 3.0)
    parts = [
        station("A", 10, 100.0, field(100.0), wind_speed_m_s=wind),
        station("B", 10, 100.0, field(100.0), wind_speed_m_s=wind * 3,
                rel_humidity_pct=np.full(HOURS, 50.0) + np.arange(HOURS) % 5),
    ]  # fmt: skip
    series = combined(parts, 100.0)
    assert series.get("wind_speed_m_s")[:, 0] == pytest.approx(6.0)
    assert series.source.credit == "Data: A; Data: B"
    # The one that knows humidity gives it; the dew point never passes the air.
    dew = series.dew_point_c()
    assert np.isfinite(dew).all()
    assert (dew <= series.air_temp_c + 1e-9).all()


def test_a_station_without_height_is_refused():
    info, series = station("A", 10, 100.0, field(100.0))
    with pytest.raises(InputError, match="without a known height"):
        combined([(replace(info, elevation_m=None), series)], 100.0)


CHOICE = WeatherChoice(at=(48.35, 16.55, 200.0), years=1, combine=2)


def test_two_stations_through_the_real_client(room, server):
    series = load_chosen(CHOICE, room)
    assert series.source.label.count(" + ") == 1
    assert "CC BY 4.0" in series.source.credit
    assert (
        sum("weight" in n for n in (in_units(x, "metric") for x in series.notes)) == 2
    )
    one = load_chosen(replace(CHOICE, combine=1), room)
    assert one.source.label.count(" + ") == 0
    assert not np.array_equal(one.air_temp_c[:100], series.air_temp_c[:100])


def test_an_outage_of_one_does_not_leave_the_other_alone(room, server):
    near = [i.id for i in room.near(48.35, 16.55, 200.0)]
    server.fail(f"/hourly/2022/{near[1]}", "500")
    with pytest.raises(WeatherUnavailableError):
        load_chosen(CHOICE, fresh_room(NOW))
    # What was archived before the outage is enough.
    server.heal() if hasattr(server, "heal") else server._faults.clear()
    series = load_chosen(CHOICE, fresh_room(NOW))
    server.fail("/", "drop")
    again = load_chosen(CHOICE, room)
    assert np.array_equal(series.air_temp_c, again.air_temp_c, equal_nan=True)


@pytest.mark.parametrize(
    ("choice", "word"),
    [
        ({"demo": True, "combine": 2}, "town or at"),
        ({"at": (48.0, 16.0), "combine": 50}, "1 to 8"),
    ],
)
def test_bad_use_is_refused(choice, word):
    with pytest.raises(InputError, match=word):
        load_weather(WeatherChoice(**choice))
