"""Files read back against the truth they were made from."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from climrisk.commands.exposure.compute import exposure
from climrisk.core.errors import InputError
from climrisk.weather.files import read_weather
from climrisk.weather.series import Place
from tests.made_files import epw, logger_csv, truth

ZONES = {
    "Europe/Zagreb": (45.8, 15.9),
    "America/New_York": (40.7, -74.0),
    "Australia/Sydney": (-33.9, 151.2),
    "Asia/Kolkata": (22.6, 88.4),
}


def place(zone="Europe/Zagreb"):
    lat, lon = ZONES[zone]
    return Place("here", lat, lon, 20.0, zone)


def read(path, zone="Europe/Zagreb", **options):
    return read_weather(path, place=place(zone), **options)


def same(series, weather):
    got = pd.Series(
        weather.air_temp_c[:, 0], index=pd.DatetimeIndex(weather.time, tz="UTC")
    )
    want = series.reindex(got.index)
    assert np.allclose(got, want, atol=0.006, equal_nan=True)
    assert got.notna().sum() == series.notna().sum()


@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("clock", ["local", "standard", "utc"])
@pytest.mark.parametrize("unit", ["c", "f"])
def test_clocks_and_units_read_back(tmp_path, zone, clock, unit):
    series = truth("2021-02-01", 24 * 330)
    if zone == "Asia/Kolkata" and clock != "utc":
        series.index = series.index + pd.Timedelta("30min")
    path = logger_csv(tmp_path / "a.csv", series, zone=zone, clock=clock, unit=unit)
    same(series, read(path, zone, clock=clock))


@pytest.mark.parametrize(
    "zone", ["Europe/Zagreb", "America/New_York", "Australia/Sydney"]
)
def test_a_wall_clock_proves_itself_at_the_change(tmp_path, zone):
    series = truth("2021-02-01", 24 * 330)
    path = logger_csv(tmp_path / "a.csv", series, zone=zone, clock="local")
    weather = read(path, zone)
    same(series, weather)
    assert any("summer time" in note for note in weather.notes)


@pytest.mark.parametrize(
    ("start", "hours", "clock", "off_h"),
    [
        ("2021-01-01", 24 * 40, "local", 0),  # winter: both clocks agree
        ("2021-06-01", 24 * 40, "local", 1),
        ("2021-06-01", 24 * 40, "standard", 0),
        ("2021-01-01", 24 * 330, "standard", 0),  # over both changes
    ],
)
def test_a_clock_that_shows_no_change_is_taken_as_standard_time_and_said(
    tmp_path, start, hours, clock, off_h
):
    series = truth(start, hours)
    weather = read(logger_csv(tmp_path / "a.csv", series, clock=clock))
    moved = series.copy()
    moved.index = moved.index + pd.Timedelta(hours=off_h)
    same(moved, weather)
    said = next(n for n in weather.notes if n.startswith("clock:"))
    assert "standard time of Europe/Zagreb, assumed" in said
    assert "one hour at most" in said
    assert "--clock" in said


@pytest.mark.parametrize(
    "name",
    [
        *("Windrichtung", "Windrichting", "Wind direction", "wind_dir", "WindDir"),
        *("Direzione vento", "Direction du vent", "Dirección del viento", "Wind °"),
        *("Smjer vjetra", "Gust direction", "WD (wind)"),
    ],
)
def test_where_the_wind_comes_from_is_not_read_as_its_speed(tmp_path, name):
    path = tmp_path / "a.csv"
    stamps = [f"2021-05-0{1 + i // 24} {i % 24:02d}:00" for i in range(72)]
    rows = [f"{t},{12 + i % 7},{37 * i % 360}" for i, t in enumerate(stamps)]
    path.write_text(f"Time,Temp °C,{name}\n" + "\n".join(rows))
    weather = read(path, clock="utc")
    assert set(weather.values) == {"air_temp_c"}


def test_count_of_a_fahrenheit_wall_clock_file_by_local_standard_time(tmp_path):
    series = truth("2021-09-01", 24 * 240)
    path = logger_csv(tmp_path / "a.csv", series, unit="f", clock="local")
    result = exposure(read(path), below=[10.0])
    standard = series.tz_convert("Etc/GMT-1")
    cold = (standard < 10.0).groupby(standard.index.month).sum()
    assert result.below[0].hours == int((series < 10.0).sum())
    for month, hours in cold.items():
        assert result.below[0].by_month[str(month)] == hours


DIALECTS = {
    "semicolon and decimal comma": {"delimiter": ";", "decimal": ","},
    "tab": {"delimiter": "\t"},
    "pipe": {"delimiter": "|"},
    "german dates": {"stamp": "%d.%m.%Y %H:%M", "delimiter": ";", "decimal": ","},
    "american dates, 12 h": {"stamp": "%m/%d/%Y %I:%M %p"},
    "two columns": {"two_columns": True, "stamp": "%d/%m/%Y %H:%M:%S"},
    "iso with T": {"stamp": "%Y-%m-%dT%H:%M:%S"},
    "utf-16": {"encoding": "utf-16"},
    "latin-1": {"encoding": "latin-1"},
    "preamble": {"header_rows": 4},
    "no humidity": {"humidity": None},
    "short years": {"stamp": "%d-%m-%y %H:%M"},
}


@pytest.mark.parametrize("dialect", DIALECTS)
def test_dialects_read_back(tmp_path, dialect):
    series = truth("2021-05-01", 24 * 60)
    path = logger_csv(tmp_path / "a.txt", series, clock="standard", **DIALECTS[dialect])
    weather = read(path, clock="standard")
    same(series, weather)
    humid = weather.get("rel_humidity_pct")
    assert (humid is None) == (dialect == "no humidity")
    if humid is not None:
        assert np.nanmax(humid) == 60.0


def test_unix_seconds_and_offset_stamps_need_no_clock(tmp_path):
    series = truth("2021-05-01", 24 * 20)
    rows = [f"{int(t.timestamp())},{v}" for t, v in series.items()]
    unix = tmp_path / "unix.csv"
    unix.write_text("time,temperature °C\n" + "\n".join(rows))
    same(series, read(unix))
    rows = [
        f"{t.tz_convert('Europe/Zagreb').isoformat()},{v}" for t, v in series.items()
    ]
    offset = tmp_path / "offset.csv"
    offset.write_text("time,temperature °C\n" + "\n".join(rows))
    same(series, read(offset))


def test_minutes_become_hourly_means_and_thin_hours_are_unknown(tmp_path):
    index = pd.date_range("2021-05-01", periods=6 * 48, freq="10min", tz="UTC")
    values = pd.Series(np.arange(len(index)) % 6 / 10 + 10.0, index=index)
    values = values.drop(index[6:9])  # half of the second hour
    weather = read(logger_csv(tmp_path / "a.csv", values, clock="utc"), clock="utc")
    air = weather.air_temp_c[:, 0]
    assert air[0] == pytest.approx(10.25)
    assert np.isnan(air[1])
    assert np.isfinite(air[2:]).all()


def test_marks_text_duplicates_and_disorder_are_noted_never_filled(tmp_path):
    lines = ["time,temperature °C"]
    stamps = pd.date_range("2021-05-01", periods=30, freq="h")
    for i, t in enumerate(stamps):
        value = {3: "-99", 4: "---", 5: "", 6: "-999.0"}.get(i, "12.5")
        lines.append(f"{t:%Y-%m-%d %H:%M},{value}")
    lines.append(lines[9])  # a repeated row, out of order
    del lines[20]  # an absent hour
    path = tmp_path / "a.csv"
    path.write_text("\n".join(lines))
    before = path.read_bytes()
    weather = read(path, clock="utc")
    assert len(weather) == 30
    assert np.isnan(weather.air_temp_c[[3, 4, 5, 6, 19], 0]).all()
    assert np.isfinite(weather.air_temp_c).sum() == 25
    notes = " ".join(weather.notes)
    assert "4 readings" in notes
    assert "out of order" in notes
    assert "second reading of the same time" in notes
    assert path.read_bytes() == before


def bad_files(folder: Path) -> dict[str, tuple[Path, dict[str, str], str]]:
    winter = truth("2021-01-01", 24 * 11)
    summer = truth("2021-06-01", 24 * 30)
    made = {
        "either order": (
            logger_csv(folder / "1.csv", winter, stamp="%d/%m/%Y %H:%M"),
            {"clock": "utc"},
            "date_order=",
        ),
        "fahrenheit or celsius": (
            logger_csv(folder / "2.csv", summer, unit="f", unit_in_header=False),
            {"clock": "utc"},
            "temperature_unit=",
        ),
        "clock": (
            logger_csv(folder / "3.csv", truth("2021-02-01", 24 * 90), clock="utc"),
            {"zone": "America/New_York"},
            "clock=",
        ),
    }
    texts = {
        "empty": (b"", "empty"),
        "binary": (bytes(range(256)) * 40, "not text"),
        "no temperature": (
            b"time,humidity\n2021-05-01 00:00,55\n2021-05-01 01:00,56\n",
            "no temperature",
        ),
        "no time": (b"temperature,humidity\n12.5,55\n12.6,56\n", "no time"),
        "words": (b"hello\nworld\n", "no table"),
        "broken epw": (b"LOCATION,x\n1\n2\n", "EPW"),
    }
    for name, (data, word) in texts.items():
        path = folder / f"{name.replace(' ', '-')}.dat"
        path.write_bytes(data)
        made[name] = (path, {"clock": "utc"}, word)
    made["absent"] = (folder / "nowhere.csv", {}, "no such file")
    made["folder"] = (folder, {}, "not a file")
    return made


NAMES = [
    *("either order", "fahrenheit or celsius", "clock", "empty", "binary"),
    *("no temperature", "no time", "words", "broken epw", "absent", "folder"),
]


@pytest.mark.parametrize("name", NAMES)
def test_bad_files_are_one_clear_line(tmp_path, name):
    path, options, word = bad_files(tmp_path)[name]
    with pytest.raises(InputError) as caught:
        read(path, **options)
    line = caught.value.line()
    assert word in line
    assert "\n" not in line
    assert caught.value.exit_status == 2


def test_a_logger_needs_its_place(tmp_path):
    path = logger_csv(tmp_path / "a.csv", truth("2021-05-01", 48))
    with pytest.raises(InputError, match="at="):
        read_weather(path)


@pytest.mark.parametrize("latitude", [44.0, -33.0])
@pytest.mark.parametrize("hours", [8760, 8784])
def test_epw_counts_equal_a_plain_count_of_its_rows(tmp_path, latitude, hours):
    temps = truth("2005-01-01", hours, seed=5).to_numpy(copy=True)
    temps[100:110] = np.nan
    weather = read_weather(epw(tmp_path / "x.bin", temps, latitude=latitude))
    result = exposure(weather, below=[15.0, 5.0])
    index = pd.date_range(
        "2004-01-01" if hours == 8784 else "2005-01-01", periods=hours, freq="h"
    )
    assert weather.typical
    assert len(result.below[0].by_growing_year) == 1
    for row, limit in zip(result.below, (15.0, 5.0), strict=True):
        cold = pd.Series(temps < limit).groupby(index.month).sum()
        assert row.hours == int((temps < limit).sum())
        assert row.unknown_hours == 10
        assert {int(m): n for m, n in row.by_month.items()} == dict(cold)


def test_epw_out_of_order_is_refused(tmp_path):
    path = epw(tmp_path / "a.epw", truth("2005-01-01", 8760).to_numpy())
    lines = path.read_text().splitlines()
    lines[20], lines[40] = lines[40], lines[20]
    path.write_text("\n".join(lines))
    with pytest.raises(InputError, match="out of order"):
        read_weather(path)


def test_epw_half_hour_zone(tmp_path):
    path = epw(tmp_path / "a.epw", truth("2005-01-01", 8760).to_numpy(), offset=5.5)
    weather = read_weather(path)
    seasons = weather.seasons()
    assert seasons.hour[0] == 0.0
    assert seasons.month[0] == 7
