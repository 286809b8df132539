"""The year looked back on: bias by regime, rank, near misses, all recounted."""

from __future__ import annotations

import csv
import json
from statistics import mean

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main
from climrisk.home import edit_home
from climrisk.weather.synthetic import demo_weather
from climrisk.weather.synthetic_log import STILL_K
from tests.made_files import epw, logger_csv

FEW = ("--years", "6", "--members", "5")
HOME = """
[weather]
demo = true
[[spot]]
name = "balcony"
kind = "roofed-balcony"
[[plant]]
name = "Phalaenopsis hybrids"
spot = "balcony"
[[plant]]
name = "Cymbidium, standard hybrids"
label = "big one"
spot = "balcony"
count = 2
"""


@pytest.fixture
def home(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(HOME, "utf-8")
    return path


def run_json(capsys, *words):
    status = main(["review", *words, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def winter_log(tmp_path, offset_k, start="2023-10-30", end="2024-04-03"):
    """Write a logger's file of one winter: the station's air and an offset."""
    station = demo_weather()
    index = pd.DatetimeIndex(station.time).tz_localize("UTC")
    air = pd.Series(np.round(station.air_temp_c[:, 0] + offset_k, 1), index=index)
    air = air[start:end]
    path = logger_csv(tmp_path / "log.csv", air, clock="utc", humidity=None)
    return path, air


def test_a_made_offset_is_the_bias_by_regime(capsys, tmp_path):
    # A logger that is the station, 2 K warmer on every hour: the model's middle of a
    # roofed balcony is 1.5 K warmer on still nights in winter (prior), 0.3 on windy.
    path, _ = winter_log(tmp_path, 2.0)
    run = ("--file", str(path), "--clock", "utc", "--against", "demo", *FEW)
    document = run_json(capsys, *run, "--spot", "roofed-balcony")
    bias = {b["kind"]: b for b in document["bias"]}
    assert document["shown"] == "2023/24"
    assert bias["all"]["nights"] == sum(
        bias[k]["nights"] for k in ("still", "mixed", "windy")
    )
    # Still: 2 - 1.5 less what the season and a weight under 1 take from it; windy:
    # 2 - 0.3 less what a weight above 0 adds.
    assert bias["still"]["bias_k"] == pytest.approx(0.6, abs=0.3)
    assert bias["windy"]["bias_k"] == pytest.approx(1.5, abs=0.3)
    nights = [n for n in document["nights"] if n["difference_k"] is not None]
    for kind in ("still", "mixed", "windy"):
        mine = [n["difference_k"] for n in nights if n["kind"] == kind]
        # Nights outside November to March count in the bias and are not listed.
        assert bias[kind]["nights"] >= len(mine) > 0
        assert bias[kind]["bias_k"] == pytest.approx(mean(mine), abs=0.15)
    offsets = {o["kind"]: o for o in document["offsets"]}
    assert offsets["still"]["before_k"] == pytest.approx(1.5, abs=0.1)
    assert offsets["still"]["after_k"] == pytest.approx(2.0, abs=0.25)
    assert offsets["windy"]["after_k"] == pytest.approx(2.0, abs=0.25)
    assert any("windy nights the spot was 1." in n for n in document["notes"])


def test_hours_and_nights_of_a_logger_equal_a_count_by_hand(capsys, tmp_path, home):
    path, air = winter_log(tmp_path, 1.0)
    run = ("--file", str(path), "--clock", "utc", "--against", "demo", *FEW)
    document = run_json(capsys, *run, "--home", str(home), "--spot", "balcony")
    local = air.copy()
    local.index = (air.index + pd.Timedelta(hours=1)).tz_localize(None)
    # Noon to noon, dated by the evening, November to March.
    evening = (local.index - pd.Timedelta(hours=12)).normalize()
    keep = (evening >= "2023-11-01") & (evening <= "2024-03-31")
    for row in document["thresholds"]:
        limit = row["threshold_c"]
        assert row["by"] == "logger"
        assert row["hours"] == (local[keep] < limit).sum()
        lowest = local[keep].groupby(evening[keep]).min()
        assert row["nights"] == (lowest < limit).sum()
        runs = (lowest < limit).astype(int)
        longest = runs.groupby((runs == 0).cumsum()).sum().max()
        assert row["longest_run_nights"] == longest
    lowest = local[keep].groupby(evening[keep]).min()
    coldest = lowest.nsmallest(5)
    assert [n["logger_c"] for n in document["coldest"]] == list(coldest)
    for plant in document["plants"]:
        limit = plant["tolerated_c"]
        assert limit < plant["preferred_c"]
        assert plant["margin_k"] == pytest.approx(lowest.min() - limit, abs=0.051)
        near = lowest[(lowest >= limit) & (lowest < limit + document["near_k"])]
        assert plant["near_misses"] == [d.date().isoformat() for d in near.index]
        below = plant["nights_below_tolerated"]
        assert below == (lowest < limit).sum()
        cold = (lowest < plant["preferred_c"]).sum()
        assert plant["nights_below_preferred"] == cold
        assert (plant["state"] == "below") == (below > 0)
    assert [p["margin_k"] for p in document["plants"]] == sorted(
        p["margin_k"] for p in document["plants"]
    )


def test_rank_is_a_recount_of_the_winters(capsys, home):
    document = run_json(
        capsys, "--home", str(home), "--members", "5", "--winter", "2017/18"
    )
    counted = [w for w in document["winters"] if w["counts"]]
    mine = next(w for w in counted if w["label"] == "2017/18")
    others = [w for w in counted if w is not mine]
    colder = sum(w["mean_minimum_c"] < mine["mean_minimum_c"] for w in others)
    deeper = sum(w["lowest_c"] < mine["lowest_c"] for w in others)
    rank = document["rank"]
    assert rank["winters"] == len(counted) == 30
    assert rank["by_mean"] == colder + 1
    assert rank["colder_frac"] == pytest.approx(colder / len(others), abs=0.001)
    assert abs(rank["by_lowest"] - deeper - 1) <= 1  # ties in the tenth shown
    word = "mild" if rank["colder_frac"] >= 2 / 3 else "cold"
    assert rank["words"].startswith(word) == (
        rank["colder_frac"] >= 2 / 3 or rank["colder_frac"] <= 1 / 3
    )
    for plant in document["plants"]:
        times = sum(w["lowest_c"] < plant["tolerated_c"] for w in counted)
        assert abs(plant["winters_below"] - times) <= 1
        assert plant["winters"] == len(counted)


def test_a_mild_winter_is_not_taken_for_proof(capsys, home):
    with edit_home(home) as edit:
        edit.change(edit.plant("big one"), name="Cacti, desert")
    every = run_json(capsys, "--home", str(home), "--members", "5")
    counted = [w for w in every["winters"] if w["counts"]]
    mildest = max(counted, key=lambda w: w["lowest_c"])
    run = ("--home", str(home), "--members", "5", "--winter", mildest["label"])
    document = run_json(capsys, *run)
    cacti = next(p for p in document["plants"] if p["label"] == "big one")
    assert cacti["state"] != "below"
    assert cacti["winters_below"] > 0
    assert cacti["nights_below_tolerated"] == 0
    if document["rank"]["colder_frac"] >= 2 / 3:
        assert any("proves little" in n for n in document["notes"])


def test_the_demo_logger_finds_its_made_up_offset(capsys):
    document = run_json(capsys, "--demo", "--members", "5")
    offsets = {o["kind"]: o for o in document["offsets"]}
    low = offsets["still"]["after_k"] - 1.645 * offsets["still"]["after_sd_k"]
    high = offsets["still"]["after_k"] + 1.645 * offsets["still"]["after_sd_k"]
    assert low <= STILL_K <= high
    assert {p["by"] for p in document["plants"]} == {"both"}
    assert document["logger"] == "invented balcony logger"


def test_without_a_logger_the_model_speaks_and_says_so(capsys, home):
    document = run_json(capsys, "--home", str(home), *FEW)
    assert document["logger"] is None
    assert document["bias"] == []
    assert "logger's file" in document["bias_unknown_because"]
    assert {n["logger_c"] for n in document["nights"]} == {None}
    assert {p["by"] for p in document["plants"]} == {"model"}
    for row in document["thresholds"]:
        known = [n["model_c"] for n in document["nights"] if n["model_c"] is not None]
        assert abs(row["nights"] - sum(t < row["threshold_c"] for t in known)) <= 2


def test_a_min_max_thermometer_has_nights_and_no_hours(capsys, tmp_path):
    _, air = winter_log(tmp_path, 1.0)
    local = air.copy()
    local.index = (air.index + pd.Timedelta(hours=1)).tz_localize(None)
    days = local.groupby(local.index.normalize())
    rows = [f"{d.date()},{v.min():.1f},{v.max():.1f}" for d, v in days if len(v) == 24]
    path = tmp_path / "minmax.csv"
    path.write_text("\n".join(["Date,Min (°C),Max (°C)", *rows]) + "\n", "utf-8")
    run = ("--file", str(path), "--against", "demo", *FEW, "--spot", "open-rail")
    document = run_json(capsys, *run)
    assert {t["hours"] for t in document["thresholds"]} == {None}
    assert document["thresholds"][0]["nights"] > 0


WRONG = [
    (("--demo", "--winter", "1920/21"), "1995/96"),
    (("--demo", "--below", "500"), "-60"),
    (("--demo", "--members", "0"), "1 to 100"),
    (("--demo", "--spot", "cellar"), "roofed-balcony"),
    ((), "--demo"),
]


@pytest.mark.parametrize(("words", "word"), WRONG, ids=lambda v: str(v)[:30])
def test_bad_input_is_one_line_and_status_two(capsys, words, word):
    assert main(["review", *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert word in err


def test_a_typical_year_has_nothing_to_look_back_on(capsys, tmp_path, home):
    index = np.arange(8760)
    temps = 12 + 8 * np.sin(2 * np.pi * (index / 8760 - 0.3))
    path = epw(tmp_path / "x.epw", temps)
    log, _ = winter_log(tmp_path, 1.0)
    run = ["review", "--file", str(log), "--clock", "utc", "--against", str(path)]
    assert main(run) == 2
    assert "typical year" in capsys.readouterr().err


def test_a_home_whose_weather_is_the_spots_own_record(capsys, tmp_path, home):
    path, air = winter_log(tmp_path, 1.0)
    with edit_home(home) as edit:
        edit.set("weather", "demo", None)
        edit.set("weather", "file", path.name)
        edit.set("weather", "clock", "utc")
        edit.set("at", "44.1,15.1,74")
    alone = run_json(capsys, "--home", str(home), "--members", "2")
    # No offset is added to what hung there.
    assert alone["spot_kind"] == "roofed-balcony"
    evening = alone["nights"][40]["evening"]
    noon = pd.Timestamp(evening, tz="UTC") + pd.Timedelta(hours=11)
    assert (
        alone["nights"][40]["model_c"] == air[noon : noon + pd.Timedelta("23h")].min()
    )
    assert alone["rank"] is None
    assert "3 winters" in alone["rank_unknown_because"]
    both = run_json(capsys, "--home", str(home), "--members", "2", "--against", "demo")
    assert both["logger"] == path.name
    assert both["bias"][-1]["nights"] > 100


def test_files_hold_every_night(capsys, tmp_path, home):
    page, sheet = tmp_path / "r.html", tmp_path / "r.csv"
    run = ("--home", str(home), *FEW, "--html", str(page), "--csv", str(sheet))
    document = run_json(capsys, *run)
    assert document["files"] == [str(page), str(sheet)]
    rows = list(csv.DictReader(sheet.read_text("utf-8").splitlines()))
    assert len(rows) == len(document["nights"])
    assert [r["evening"] for r in rows] == [n["evening"] for n in document["nights"]]
    assert document["sentence"] in page.read_text("utf-8")
