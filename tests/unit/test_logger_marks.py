"""Marked readings leave what they would spoil and nothing else."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

from climrisk.commands.exposure.compute import exposure
from climrisk.core.errors import InputError
from climrisk.spot.ensemble import ensemble
from climrisk.spot.transfer import prepare
from climrisk.weather.files import read_weather
from climrisk.weather.rounding import resolution_c
from climrisk.weather.series import Origin, Place
from tests.made_weather_series import climate

HERE = Place("here", 45.8, 15.9, 120.0, "Etc/GMT")
#: June sun is up from about 4 to 19 UTC at this place.
INDEX = pd.date_range("2021-06-01", periods=24 * 12, freq="h")


def usual() -> np.ndarray:
    rng = np.random.default_rng(2)
    hours = np.arange(len(INDEX))
    air = 19 + 4 * np.cos(2 * np.pi * (hours - 14) / 24)
    return np.round(air + rng.normal(0, 0.3, len(hours)), 1)


def read(tmp_path, air, humidity=None, index=INDEX):
    lines = ["Time,Temp °C" + (",RH %" if humidity is not None else "")]
    for i, at in enumerate(index):
        row = [f"{at:%Y-%m-%d %H:%M}", "" if np.isnan(air[i]) else f"{air[i]:.1f}"]
        lines.append(
            ",".join(row + ([] if humidity is None else [f"{humidity[i]:.0f}"]))
        )
    path = tmp_path / "a.csv"
    path.write_text("\n".join(lines))
    return read_weather(path, place=HERE, clock="utc")


def marks(weather):
    return {(m.variable, m.mark): m.readings for m in weather.marks}


def test_a_usual_record_has_no_mark(tmp_path):
    weather = read(tmp_path, usual(), 70 - 2 * (usual() - 19))
    assert marks(weather) == {}
    assert np.isfinite(weather.air_temp_c).all()


def test_sun_on_the_sensor_takes_the_noon_and_leaves_the_night(tmp_path):
    air = usual()
    # Nine o'clock UTC: from 17 to 33 in an hour, back in the shade at noon.
    hit = [24 * 4 + h for h in (9, 10, 11)]
    air[hit] += [14, 16, 13]
    weather = read(tmp_path, air)
    assert marks(weather) == {("air_temp_c", "sun"): 3}
    assert np.isnan(weather.air_temp_c[hit, 0]).all()
    assert np.isfinite(weather.air_temp_c).sum() == len(air) - 3
    clean = exposure(read(tmp_path, usual()), below=[16.0], above=[30.0])
    result = exposure(weather, below=[16.0], above=[30.0])
    # No night is lost, and nothing is counted as hot.
    assert result.below[0].nights == clean.below[0].nights
    assert result.below[0].unknown_nights == clean.below[0].unknown_nights
    assert result.above[0].hours == 0
    assert result.above[0].hours_range.high == 3
    assert result.weather.marks[0].meaning.startswith("risen faster")


def test_the_same_rise_by_night_or_for_good_is_weather(tmp_path):
    air = usual()
    air[24 * 4 + 1 : 24 * 4 + 3] += 9
    assert ("air_temp_c", "sun") not in marks(read(tmp_path, air))
    front = usual()
    front[24 * 4 + 10 :] += 9
    assert marks(read(tmp_path, front)) == {}


def test_a_leap_there_and_back_is_marked_once(tmp_path):
    air = usual()
    air[100] -= 25
    assert marks(read(tmp_path, air)) == {("air_temp_c", "step"): 1}


def test_a_sensor_that_stands_still_is_marked(tmp_path):
    air = usual()
    air[50 : 50 + 40] = 17.3
    weather = read(tmp_path, air)
    assert marks(weather) == {("air_temp_c", "stuck"): 40}
    assert np.isnan(weather.air_temp_c[50:90]).all()
    short = usual()
    short[50 : 50 + 20] = 17.3
    assert marks(read(tmp_path, short)) == {}


def test_whole_degrees_may_stand_longer(tmp_path):
    air = np.round(usual())
    air[50 : 50 + 40] = 17
    assert marks(read(tmp_path, air)) == {}


def test_wet_humidity_is_marked_once_the_air_has_warmed(tmp_path):
    air = usual()
    humidity = 70 - 2 * (air - 19)
    humidity[24 * 3 : 24 * 4] = 100
    weather = read(tmp_path, air, humidity)
    marked = marks(weather)
    assert set(marked) == {("rel_humidity_pct", "wet")}
    assert 5 < marked["rel_humidity_pct", "wet"] < 20
    # The temperature beside it is kept, and the saturated night is believed.
    assert np.isfinite(weather.air_temp_c).all()
    humid = weather.get("rel_humidity_pct")[:, 0]
    assert np.isfinite(humid[24 * 3 : 24 * 3 + 5]).all()


def test_single_impossible_readings_are_marked_and_many_stop_the_file(tmp_path):
    air = usual()
    air[[10, 200]] = 88.0
    assert marks(read(tmp_path, air)) == {("air_temp_c", "range"): 2}
    air[20:60] = 150.0
    with pytest.raises(InputError, match="outside what weather can be"):
        read(tmp_path, air)


def test_the_lowest_reading_within_an_hour_is_kept(tmp_path):
    index = pd.date_range("2021-06-01", periods=6 * 24 * 3, freq="10min")
    air = np.tile([10.0, 9.0, 7.5, 9.0, 10.0, 11.0], 24 * 3)
    air += np.repeat(np.sin(np.arange(72) / 4), 6).round(1)
    result = exposure(read(tmp_path, air, index=index), below=[9.0])
    assert result.lowest_reading_c == pytest.approx(air.min())
    assert result.lowest_c == pytest.approx(air.reshape(-1, 6).mean(axis=1).min())
    assert exposure(read(tmp_path, usual()), below=[9.0]).lowest_reading_c is None


def test_rounding_is_seen_and_its_effect_told(tmp_path):
    fine = usual()
    whole = np.round(fine)
    result = exposure(read(tmp_path, whole), below=[17.0])
    row = result.below[0]
    assert result.weather.resolution_c == 1.0
    assert row.hours == (whole < 17).sum()
    assert row.rounding_range.low == (whole <= 16).sum()
    assert row.rounding_range.high == (whole <= 17).sum()
    assert row.rounding_range.low <= (fine < 17).sum() <= row.rounding_range.high
    assert exposure(read(tmp_path, fine), below=[17.0]).below[0].rounding_range is None
    assert resolution_c((np.round(fine * 1.8 + 32) - 32) / 1.8) == pytest.approx(0.5556)
    assert resolution_c(np.round(fine * 2) / 2) == 0.5


def test_short_gaps_are_bridged_for_a_spot_and_never_in_the_record_itself():
    weather = climate(years=2)
    air = weather.air_temp_c.copy()
    air[100:102] = np.nan
    air[200:206] = np.nan
    holed = type(weather).build(
        weather.time,
        {**weather.values, "air_temp_c": air},
        place=weather.place,
        source=weather.source,
    )
    result = exposure(holed, below=[10.0])
    assert result.below[0].unknown_hours == 8
    assert result.weather.hours_filled == 0
    used = prepare(holed, ensemble(1)).weather
    assert (used.origin == Origin.FILLED).sum() == 2
    assert np.isnan(used.air_temp_c).sum() == 6
    between = sorted([air[99, 0], air[102, 0]])
    assert between[0] <= used.air_temp_c[100, 0] <= between[1]
    assert any("filled by straight lines" in note for note in used.notes)


def test_uneven_readings_are_weighed_by_time(tmp_path):
    # Ten readings in the first half of each hour, five in the second: a plain mean
    # would weigh the first half twice.
    path = tmp_path / "a.csv"
    lines = ["Time,Temp °C"]
    for hour in range(48):
        at = pd.Timestamp("2021-06-01") + pd.Timedelta(hours=hour)
        for minute in (*range(0, 30, 3), *range(30, 60, 6)):
            value = 20.0 if minute < 30 else 14 + hour % 5 / 10
            moment = at + pd.Timedelta(minutes=minute)
            lines.append(f"{moment:%Y-%m-%d %H:%M},{value:.1f}")
    path.write_text("\n".join(lines))
    known = read_weather(path, place=HERE, clock="utc").air_temp_c[:-1, 0]
    expected = [(20 + 14 + (h % 5) / 10) / 2 for h in range(47)]
    assert known == pytest.approx(expected, abs=1e-6)
