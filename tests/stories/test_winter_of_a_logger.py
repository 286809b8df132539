"""A logger's winter on the balcony: nights, hours, runs, and new offsets."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main
from climrisk.weather.selection import WeatherChoice, load_weather

LIMITS = (13.0, 10.0, 5.0, 0.0)


@pytest.fixture(scope="module")
def log(tmp_path_factory):
    """November to March of the invented winter 2023/24, 1.8 K above the airfield."""
    weather = load_weather(WeatherChoice(demo=True))
    first = int(np.flatnonzero(weather.time == np.datetime64("2023-10-31T11:00"))[0])
    part = weather.between(first, first + 24 * 153)
    rng = np.random.default_rng(3)
    air = np.round(part.air_temp_c[:, 0] + 1.8 + rng.normal(0, 0.2, len(part)), 1)
    local = pd.DatetimeIndex(part.time) + pd.Timedelta(hours=1)
    series = pd.Series(air, index=local)
    path = tmp_path_factory.mktemp("log") / "balcony.csv"
    text = "\n".join(f"{t:%Y-%m-%d %H:%M},{v:.1f}" for t, v in series.items())
    path.write_text("time,temperature °C\n" + text + "\n", "utf-8")
    return path, series


def run_json(capsys, *words):
    status = main([*words, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


@pytest.fixture
def winter(capsys, log):
    path, _ = log
    below = [word for limit in LIMITS for word in ("--below", f"{limit:g}")]
    return run_json(
        *(capsys, "winter", "--file", str(path), "--at", "44.1,15.1"),
        *("--clock", "standard", *below),
    )


def test_three_days_counted_by_hand(winter, log):
    _, series = log
    for evening in ("2023-12-05", "2024-01-17", "2024-02-28"):
        noon = pd.Timestamp(evening) + pd.Timedelta(hours=12)
        night = series[noon : noon + pd.Timedelta(hours=23)]
        assert len(night) == 24
        row = next(n for n in winter["nights"] if n["evening"] == evening)
        assert row["lowest_c"] == pytest.approx(night.min(), abs=0.051)
        for limit in LIMITS:
            assert row["hours_below"][f"{limit:g}"] == (night < limit).sum()
        assert row["known"] == "measured"


def test_sums_runs_and_the_coldest_are_those_of_the_strip(winter):
    lowest = {n["evening"]: n["lowest_c"] for n in winter["nights"]}
    coldest = sorted(lowest, key=lowest.__getitem__)[:5]
    assert {n["evening"] for n in winter["worst"]} == set(coldest)
    for row in winter["thresholds"]:
        key = f"{row['threshold_c']:g}"
        nights = [n["hours_below"][key] for n in winter["nights"]]
        assert row["hours_per_winter"]["mid"] == pytest.approx(sum(nights), abs=0.5)
        best = run = 0
        for hours in nights:
            run = run + 1 if hours else 0
            best = max(best, run)
        assert row["longest_run_nights"] == best


def test_offsets_by_regime_against_the_airfield(capsys, log):
    path, _ = log
    lesson = run_json(
        *(capsys, "learn", "--file", str(path), "--at", "44.1,15.1"),
        *("--clock", "standard", "--against", "demo", "--spot", "roofed-balcony"),
    )
    for nights in ("still", "windy"):
        assert lesson[nights]["low"] < 1.8 < lesson[nights]["high"]
    assert lesson["error_after_k"] < lesson["error_before_k"]
    assert lesson["nights_used"] > 145
