"""A logger on the balcony from November to March, against the model of the balcony."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main
from climrisk.weather.synthetic import demo_weather
from tests.made_files import logger_csv

LIMITS = (13.0, 10.0, 5.0, 0.0)
BELOW = [word for t in LIMITS for word in ("--below", f"{t:g}")]


@pytest.fixture(scope="module")
def air():
    """The station's hours of one winter, 1.2 K warmer: the truth of the logger."""
    station = demo_weather()
    index = pd.DatetimeIndex(station.time).tz_localize("UTC")
    hours = pd.Series(np.round(station.air_temp_c[:, 0] + 1.2, 1), index=index)
    return hours["2022-10-31 11:00":"2023-04-01 10:00"]


@pytest.fixture
def run_json(air, tmp_path, capsys):
    path = logger_csv(tmp_path / "balcony.csv", air, clock="utc", humidity=None)
    file = ["--file", str(path), "--clock", "utc", "--zone", "Etc/GMT-1"]

    def ask(command, *more):
        assert main([command, *file, *more, "--json"]) == 0
        return json.loads(capsys.readouterr().out)

    return ask


def test_three_days_by_hand(run_json, air):
    days = ("2023-01-10", "2023-01-12")
    place = ("--at", "44.1,15.1,74")
    document = run_json("exposure", *place, "--from", days[0], "--to", days[1], *BELOW)
    local = air.tz_convert("Etc/GMT-1").tz_localize(None)
    sample = local[days[0] : days[1]]
    assert len(sample) == document["weather"]["hours_expected"] == 72
    for row in document["below"]:
        count = total = 0
        for value in sample:
            if value < row["threshold_c"]:
                count += 1
                total += row["threshold_c"] - value
        assert row["hours"] == count
        assert row["degree_hours"] == pytest.approx(total, abs=0.06)


def test_nights_dated_by_their_evening_with_the_coldest_five(run_json, air):
    document = run_json("winter", "--at", "44.1,15.1,74", "--members", "1", *BELOW)
    local = air.tz_convert("Etc/GMT-1").tz_localize(None)
    evening = (local.index - pd.Timedelta(hours=12)).normalize()
    lowest = local.groupby(evening).min()
    for row in document["nights"]:
        assert row["lowest_c"] == lowest[row["evening"]]
    winter = lowest["2022-11-01":"2023-03-31"]
    assert [n["lowest_c"] for n in document["worst"]] == sorted(winter)[:5]
    runs = (winter < 10).astype(int)
    longest = runs.groupby((runs == 0).cumsum()).sum().max()
    at_10 = next(t for t in document["thresholds"] if t["threshold_c"] == 10)
    assert at_10["longest_run_nights"] == longest


def test_compared_with_the_modelled_balcony_and_new_offset_by_regime(run_json, air):
    run = ("--against", "demo", "--spot", "roofed-balcony", "--members", "5")
    document = run_json("review", *run, *BELOW)
    assert document["shown"] == "2022/23"
    local = air.tz_convert("Etc/GMT-1").tz_localize(None)
    evening = (local.index - pd.Timedelta(hours=12)).normalize()
    inside = (evening >= "2022-11-01") & (evening <= "2023-03-31")
    for row in document["thresholds"]:
        assert row["by"] == "logger"
        assert row["hours"] == (local[inside] < row["threshold_c"]).sum()
    # The logger is 1.2 K warmer than the station on every night, still or windy.
    for offset in document["offsets"]:
        assert offset["after_k"] == pytest.approx(1.2, abs=0.15)
        assert offset["after_sd_k"] < offset["before_sd_k"]
    bias = {b["kind"]: b["bias_k"] for b in document["bias"]}
    assert bias["windy"] > 0.5 > bias["still"]
