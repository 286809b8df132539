"""Longer gaps of a logger filled from a station: bounded, marked, with their error."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.commands.exposure.compute import exposure
from climrisk.core.errors import InputError
from climrisk.core.quantities import in_units
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_air_c
from climrisk.weather.learned import filled_from
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from tests.unit.test_station_client import made, room, server

__all__ = ["made", "room", "server"]

HOURS = 24 * 120
TIME = np.datetime64("2021-01-01T00:00", "m") + 60 * np.arange(HOURS)
#: What the spot adds to the station, by hour of the day.
OFFSET = 1.5 - 0.8 * np.cos(2 * np.pi * (np.arange(24) - 14) / 24)


def series(air, kind="station", start=0, shift=0):
    return WeatherSeries.build(
        TIME[start : start + len(air)] + np.timedelta64(shift, "m"),
        {"air_temp_c": np.asarray(air, float)},
        place=Place("here", 45.0, 15.0, 100.0, "Etc/GMT"),
        source=Source(kind, kind, "Data: made" if kind == "station" else "", "spot"),
    )


def pair(noise=0.0, seed=1):
    rng = np.random.default_rng(seed)
    weather = 8 + 4 * np.cos(2 * np.pi * (np.arange(HOURS) - 14) / 24)
    weather += np.repeat(rng.normal(0, 3, HOURS // 24), 24)
    truth = weather + np.tile(OFFSET, HOURS // 24) + rng.normal(0, noise, HOURS)
    return weather, truth


def holed(truth, *gaps):
    air = truth.copy()
    for first, hours in gaps:
        air[first : first + hours] = np.nan
    return series(air, "logger")


def test_a_gap_is_filled_by_the_offset_of_each_hour():
    weather, truth = pair()
    filled, learned = filled_from(holed(truth, (1000, 100)), series(weather))
    assert filled.air_temp_c[:, 0] == pytest.approx(truth, abs=0.006)
    assert (filled.origin[1000:1100] == Origin.FILLED).all()
    assert (filled.origin[:1000] == Origin.MEASURED).all()
    assert learned.hours == 100
    assert learned.gaps == 1
    assert learned.error_k == pytest.approx(0, abs=1e-6)
    assert learned.offset_k == pytest.approx(np.median(OFFSET), abs=0.01)
    assert filled.source.credit == "Data: made"


def test_the_error_told_is_that_of_hours_never_seen():
    weather, truth = pair(noise=1.0)
    filled, learned = filled_from(holed(truth, (1000, 200)), series(weather))
    wrong = filled.air_temp_c[1000:1200, 0] - truth[1000:1200]
    assert learned.error_k == pytest.approx(1.0, abs=0.1)
    assert np.sqrt((wrong**2).mean()) == pytest.approx(learned.error_k, rel=0.2)
    notes = [in_units(note, "metric") for note in filled.notes]
    assert any(f"error {learned.error_k:.1f} °C" in note for note in notes)


def test_filling_is_bounded():
    weather, truth = pair()
    long = holed(truth, (500, 24 * 15))
    assert filled_from(long, series(weather)) == (long, None)
    # At most a fifth of the record, the shortest gaps first.
    many = holed(truth, *((i, 200) for i in range(100, 2600, 300)))
    filled, learned = filled_from(many, series(weather))
    assert learned.hours <= 0.2 * HOURS
    assert np.isnan(filled.air_temp_c).any()
    # The ends of a record are no gap, and what the station lacks stays unknown.
    silent = weather.copy()
    silent[1000:1050] = np.nan
    filled, learned = filled_from(holed(truth, (980, 100)), series(silent))
    assert np.isnan(filled.air_temp_c[1001:1049]).all()
    assert learned.hours == pytest.approx(50, abs=2)


def test_a_station_on_another_part_of_the_hour_is_read_between():
    weather = 5 + 0.01 * np.arange(HOURS)
    truth = weather + 2.0
    beside = series(weather - 0.005, shift=-30)
    filled, _ = filled_from(holed(truth, (1000, 40)), beside)
    assert filled.air_temp_c[1000:1040, 0] == pytest.approx(truth[1000:1040], abs=0.02)


def test_too_little_in_common_is_refused():
    weather, truth = pair()
    with pytest.raises(InputError, match="too few hours in common"):
        filled_from(holed(truth, (100, 50)), series(weather[:200]))


def test_filled_hours_are_told_in_the_result():
    weather, truth = pair()
    filled, _ = filled_from(holed(truth, (1000, 100)), series(weather))
    result = exposure(filled, below=[5.0])
    assert result.weather.hours_filled == 100
    assert result.below[0].unknown_hours == 0


def test_from_the_command_line_to_the_real_client(room, server, tmp_path):
    station = room.load(room.named("99001"), 2021, 2022)
    place = station.place
    lines = ["Time (UTC),Temp °C"]
    for i, at in enumerate(station.time[:4000]):
        value = station.air_temp_c[i, 0] + 2.0
        if np.isfinite(value) and not 1500 <= i < 1600:
            lines.append(f"{str(at).replace('T', ' ')},{value:.1f}")
    path = tmp_path / "log.csv"
    path.write_text("\n".join(lines))
    at = (place.latitude_deg, place.longitude_deg, place.elevation_m or 200.0)
    choice = WeatherChoice(file=path, at=at, fill=True)
    filled = load_weather(choice)
    plain = load_weather(replace(choice, fill=False))
    gap = slice(1510, 1590)
    assert np.isnan(plain.air_temp_c[gap]).all()
    want = station.air_temp_c[gap, 0] + 2.0
    known = np.isfinite(want)
    assert filled.air_temp_c[gap, 0][known] == pytest.approx(want[known], abs=0.11)
    assert "CC BY 4.0" in filled.source.credit


def test_only_loggers_are_filled():
    with pytest.raises(InputError, match="only a logger's gaps"):
        load_weather(WeatherChoice(demo=True, fill=True))


def test_the_error_of_filled_hours_reaches_the_band():
    weather, truth = pair(noise=1.0)
    filled, learned = filled_from(holed(truth, (1000, 100)), series(weather))
    assert filled.fill_error_k == pytest.approx(learned.error_k, abs=0.006)
    air = spot_air_c(prepare(filled, ensemble(20)), spot_kind("as-measured"))
    spread = air.std(axis=1)
    gap = np.zeros(len(air), bool)
    gap[1000:1100] = True
    assert np.ptp(air[~gap], axis=1).max() == 0
    # Twenty draws a night: their spread lies within a third of the error told.
    assert np.abs(spread[gap].mean() / learned.error_k - 1) < 0.33
