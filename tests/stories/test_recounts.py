"""Every count of every output, made again from the exported nightly table.

`assess --nights` and `calendar --nights` export every night of every world; `winter`,
`arrive`, `remedies` and `exposure` count the same nights. The recount is plain pandas.
"""

from __future__ import annotations

import contextlib
import io
import json

import numpy as np
import pandas as pd
import pytest

from climrisk.cli.main import main
from tests.stories.nightly import LENGTH, WINTER, Recount, ask, band, day_of

FEW = ("--demo", "--years", "12", "--members", "5", "--as-of", "2026-08-01")
PLANT = "Dendrobium nobile type"  # rests cool and dry, and wants cool nights
#: Northern months of a cool or dry rest, in which nights are not too cold for comfort.
REST = (11, 12, 1, 2)
ENDS = ("low", "mid", "high")


def document(*arguments):
    text = io.StringIO()
    with contextlib.redirect_stdout(text):
        assert main([*arguments, "--json"]) == 0
    return json.loads(text.getvalue())


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("recounts")


@pytest.fixture(scope="module")
def assessed(folder):
    path = folder / "assess.csv"
    return document("assess", PLANT, *FEW, "--nights", str(path)), path


def limit_of(assessed, name):
    return assessed[0]["plant"]["limits"][name]["value"]


@pytest.fixture(scope="module")
def recount(assessed):
    return Recount(assessed[1], limit_of(assessed, "preferred"))


@pytest.fixture(scope="module")
def harmful(assessed):
    return Recount(assessed[1], limit_of(assessed, "tolerated"))


def test_dates_at_every_risk(assessed, harmful):
    result = assessed[0]
    assert len(result["risk_curve"]["by_risk"]) >= 8
    for row in result["risk_curve"]["by_risk"]:
        if row["move_in"] is not None:
            assert harmful.risk_before(day_of(row["move_in"])) <= row["risk"] + 1e-9
        if row["move_out"] is not None:
            assert harmful.risk_from(day_of(row["move_out"])) <= row["risk"] + 1e-9
        if row["risk"] < 1 / 13:
            assert row["move_in"] is row["move_out"] is None


def test_the_risk_of_each_day_of_the_curve(assessed, harmful):
    """Between the strict and the inclusive share: ties and lines between dates."""
    n, m = harmful.dates(first=True).shape
    assert len(assessed[0]["risk_curve"]["autumn"]) > 5
    for row in assessed[0]["risk_curve"]["autumn"]:
        day, risk = day_of(row["month_day"]), row["risk"]["mid"]
        assert harmful.risk_before(day) - 1 / (n + 1) <= risk
        assert risk <= harmful.risk_before(day + 1) + 1 / (n + 1)
    for row in assessed[0]["risk_curve"]["spring"]:
        day, risk = day_of(row["month_day"]), row["risk"]["mid"]
        assert harmful.risk_from(day + 1) - 1 / (n + 1) <= risk
        assert risk <= harmful.risk_from(day) + 1 / (n + 1)
    assert m == 5


def test_wanted_nights_before_the_move_and_in_the_whole_season(assessed, recount):
    result = assessed[0]
    wanted = result["wanted"]
    assert wanted["counted"] == "night"
    hit = (recount.lowest >= wanted["low_c"]) & (recount.lowest <= wanted["high_c"])
    hit &= recount.counts & np.isin(recount.month, (10, 11, 12, 1, 2))[:, None]
    into = day_of(result["move_in"]["month_day"])
    for name, before in (("whole_season", 366), ("before_move_in", into)):
        counts = [
            hit[(recount.year == y) & (recount.day < before)].sum(axis=0)
            for y in recount.winters()
        ]
        assert [wanted[name][k] for k in ENDS] == band(np.array(counts))
    share = np.mean(
        [
            hit[(recount.year == y) & (recount.day < into)].sum(axis=0) >= 21
            for y in recount.winters()
        ]
    )
    assert wanted["share_done_before_move_in"] == pytest.approx(share, abs=0.0006)


def test_the_tail_is_that_of_the_winters_coldest_nights(assessed, recount):
    """Fewer than fifteen winters: no tail, and it says so."""
    tail = assessed[0]["winters"]["tail"]
    assert tail["winters"] == len(recount.winters()) == 12
    assert tail["levels"] == []
    assert "15" in tail["why"]


def test_winter_counts_the_same_nights(assessed, recount, capsys):
    few = FEW[:5]
    result = ask(capsys, main, "winter", PLANT, *few)
    first = next(t for t in result["thresholds"] if t["words"] == "preferred")
    assert first["threshold_c"] == recount.limit
    inside = np.isin(recount.month, WINTER)
    nights = [
        recount.cold[(recount.year == y) & inside].sum(axis=0)
        for y in recount.winters()
    ]
    assert [first["nights_per_winter"][k] for k in ENDS] == band(np.array(nights))
    middle = np.median(recount.lowest, axis=1)
    for row in result["winters"]:
        rows = (recount.year == row["label"]) & inside
        cold = np.median(recount.cold[rows].sum(axis=0))
        assert row["cold_nights"][f"{recount.limit:g}"] == cold
        assert row["lowest_c"] == round(float(middle[rows].min()), 1)


def test_arrive_counts_the_same_nights(recount, harmful, capsys):
    result = ask(capsys, main, "arrive", PLANT, *FEW[:5], "--as-of", "2026-10-20")
    shares, counts = [], []
    for year in range(2013, 2026):
        start = pd.Timestamp(year, 10, 20)
        rows = (recount.evening >= start) & (
            recount.evening < start + pd.Timedelta(days=49)
        )
        if rows.sum() == 49:
            shares.append(harmful.cold[rows.to_numpy()].any(axis=0))
            cold = recount.cold & ~np.isin(recount.month, REST)[:, None]
            counts.append(cold[rows.to_numpy()].sum(axis=0))
    coming = result["coming"]
    assert coming["years"] == len(counts) == 12
    share = float(np.mean(shares))
    assert share > 0
    assert coming["share_with_harmful_night"] == pytest.approx(share, abs=0.0006)
    assert [coming["cold_nights"][k] for k in ENDS] == band(np.array(counts))


def test_remedies_count_the_same_hours(recount, capsys):
    result = ask(capsys, main, "remedies", PLANT, *FEW[:5])
    hours = recount.hours("preferred")
    years = 8766 * result["years"]
    assert years == pytest.approx(len(recount.lowest) * 24, rel=0.001)
    found = [result["air_hours_per_year"][k] * result["years"] for k in ENDS]
    assert found == pytest.approx(band(hours), rel=0.001)


def test_exposure_counts_the_nights_of_the_station(capsys, tmp_path):
    path = tmp_path / "station.csv"
    few = ("--demo", "--years", "12", "--members", "1", "--spot", "as-measured")
    document("assess", PLANT, *few, "--nights", str(path))
    recount = Recount(path, 7.0)  # its own limit: hours are exported for it
    result = ask(capsys, main, "exposure", *few[:3], "--below", "7")
    assert result["below"][0]["hours"] == recount.hours("preferred")[0]
    assert result["lowest_c"] == pytest.approx(recount.lowest.min(), abs=1e-4)


def test_calendar_counts_the_same_nights(folder):
    path = folder / "calendar.csv"
    result = document("calendar", *FEW, "--nights", str(path))
    assert len(result["months"]) == 6
    moving = 0
    for row in result["months"]:
        recount = Recount(path, row["tolerated_c"], row["spot"])
        assert row["move_in"]["n"] == len(recount.winters())
        into, out = row["move_in"]["month_day"], row["move_out"]["month_day"]
        for month, state in row["states"].items():
            if state == "out":
                assert recount.share_of_month(int(month)) <= row["risk"] + 1e-9
        if into is None or out is None:
            assert "in" not in row["states"].values()
            continue
        moving += 1
        assert recount.risk_before(day_of(into)) <= row["risk"] + 1e-9
        assert recount.risk_from(day_of(out)) <= row["move_out"]["risk"] + 1e-9
        # Trips are never less careful than the plant's own dates.
        assert day_of(row["trip_in"]) <= day_of(into)
        assert day_of(row["trip_out"]) >= day_of(out)
        for month, state in row["states"].items():
            first = day_of(f"{int(month):02d}-01")
            last = first + LENGTH[int(month) - 1] - 1
            inside = last >= day_of(into) and first < day_of(out)
            assert (state == "in") == inside
        wanted = row["wanted"]
        if wanted is not None and wanted["counted"] == "night":
            hit = (recount.lowest >= wanted["low_c"]) & recount.counts
            hit &= recount.lowest <= wanted["high_c"]
            first = min(int(e["month_day"][:2]) for e in wanted["earned_by"][:1])
            hit &= (recount.day >= day_of(f"{first:02d}-01"))[:, None]
            before = day_of(row["trip_in"])
            counts = [
                hit[(recount.year == y) & (recount.day < before)].sum(axis=0)
                for y in recount.winters()
            ]
            assert [wanted["before_move_in"][k] for k in ENDS] == band(np.array(counts))
    assert moving >= 3
