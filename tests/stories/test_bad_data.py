"""A cheap logger's spoiled winter: asked, marked, bounded, and nothing dropped unsaid.

The file has no unit, a sun-hit noon, an hour that the clock change repeats, marks for
missing readings, and nine days without a battery over the coldest spell.
"""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main
from climrisk.weather.learned import filled_from
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import Origin

ZONE = "Europe/Zagreb"
PLACE = ("--at", "44.1,15.1", "--zone", ZONE)


@pytest.fixture(scope="module")
def truth():
    """Hours of one invented winter on the balcony, by UTC."""
    weather = load_weather(WeatherChoice(demo=True))
    first = np.flatnonzero(weather.time == np.datetime64("2023-10-01T00:00"))[0]
    part = weather.between(int(first), int(first) + 24 * 182)
    index = pd.DatetimeIndex(part.time).tz_localize("UTC")
    return pd.Series(np.round(part.air_temp_c[:, 0] + 1.5, 1), index=index)


@pytest.fixture(scope="module")
def spoiled(truth, tmp_path_factory):
    """Write the file in Fahrenheit by the wall clock, and spoil it."""
    series = truth.copy()
    coldest = series.rolling(24 * 9).mean().idxmin()
    gap = (series.index > coldest - pd.Timedelta(days=9)) & (series.index <= coldest)
    noon = pd.Timestamp("2024-01-20 09:00", tz=ZONE)
    hit = (series.index >= noon) & (series.index < noon + pd.Timedelta(hours=3))
    series[hit] = [38.0, 47.0, 41.0]
    fahrenheit = series * 1.8 + 32
    local = series.index.tz_convert(ZONE).tz_localize(None)
    lines = ["Time,Temperature"]
    marks = 0
    for i, (stamp, value) in enumerate(zip(local, fahrenheit, strict=True)):
        if gap[i]:
            continue
        shown = f"{value:.1f}"
        if i % 500 == 7:
            shown, marks = "-99", marks + 1
        lines.append(f"{stamp:%Y-%m-%d %H:%M},{shown}")
    path = tmp_path_factory.mktemp("logger") / "log.csv"
    path.write_text("\n".join(lines) + "\n", "utf-8")
    return path, gap, hit, marks


def run_json(capsys, command, path, *words):
    status = main([command, "--file", str(path), *PLACE, *words, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def test_the_unit_is_asked_and_never_guessed(capsys, spoiled):
    path, *_ = spoiled
    before = path.read_bytes()
    assert main(["exposure", "--file", str(path), *PLACE, "--below", "5"]) == 2
    err = capsys.readouterr().err
    assert "--temperature-unit" in err
    assert err.count("\n") == 1
    assert path.read_bytes() == before


def test_everything_taken_out_is_told(capsys, spoiled, truth):
    path, gap, _, marks = spoiled
    document = run_json(capsys, "logger", path, "--temperature-unit", "f")
    found = {m["mark"]: m["readings"] for m in document["weather"]["marks"]}
    assert found["sun"] >= 2
    # A mark for missing that stands in the gap or the sun was never written or is both.
    assert sum(found.values()) >= marks
    assert document["weather"]["coverage_frac"] < 1
    hours = document["weather"]["hours_expected"]
    assert hours == len(truth)
    assert hours - document["weather"]["hours_known"] >= gap.sum()


def test_nights_stay_and_noons_of_the_sun_do_not_count(capsys, spoiled, truth):
    path, gap, hit, _ = spoiled
    document = run_json(
        *(capsys, "exposure", path, "--temperature-unit", "f"),
        *("--below", "5", "--above", "30"),
    )
    assert document["above"][0]["hours"] == 0
    below = document["below"][0]
    clean = (truth[~gap & ~hit] < 5).sum()
    lost = below["unknown_hours"] - gap.sum()
    assert clean - lost <= below["hours"] <= clean
    assert below["unknown_hours"] >= gap.sum()


def test_the_repeated_hour_is_two_hours(capsys, spoiled, truth):
    path, *_ = spoiled
    document = run_json(
        capsys, "exposure", path, "--temperature-unit", "f", "--below", "5"
    )
    notes = " ".join(document["weather"]["notes"])
    assert "clock" in notes
    # 29 October 2023 has 25 hours on the wall and 24 in standard time; none is lost.
    assert document["weather"]["hours_expected"] == len(truth)


def test_the_gap_is_bounded_by_the_station_and_marked(spoiled, truth):
    path, gap, _, _ = spoiled
    weather = load_weather(WeatherChoice(demo=True))
    log = load_weather(
        WeatherChoice(file=path, at=(44.1, 15.1), zone=ZONE, temperature_unit="f")
    )
    filled, learned = filled_from(log, weather)
    assert learned is not None
    rows = (filled.origin[:, 0] == Origin.FILLED) & gap[: len(filled)]
    assert rows.sum() == gap.sum()
    wrong = filled.air_temp_c[rows, 0] - truth.to_numpy()[rows]
    assert np.abs(wrong).mean() < 0.5
    assert filled.fill_error_k is not None
    assert any("filled from" in note for note in filled.notes)
