"""Gaps of a record in summer: what is answered without them, and what is said."""

from __future__ import annotations

import json

import numpy as np
import pytest

from climrisk.advice.cold_nights import between_safe
from climrisk.cli.main import main
from tests.made_files import logger_csv, truth

FULL = truth("2009-07-01", 24 * 365 * 12 + 72)
JULY = FULL[FULL.index.month != 7]
#: A logger that is put up in September and taken down in May, each winter.
DEPLOYED = FULL[~FULL.index.month.isin([6, 7, 8])]
#: The same, but read for the first time in November and for the last in March.
CUT = DEPLOYED["2009-11-01":"2021-03-31"]


def assessed(capsys, tmp_path, series, plant="Clivia", latitude=45.8):
    path = logger_csv(tmp_path / "a.csv", series, clock="standard", humidity=None)
    status = main(
        [
            *("assess", plant, "--file", str(path), "--at", f"{latitude},15.9,120"),
            *("--zone", "Etc/GMT-1", "--clock", "standard", "--spot", "as-measured"),
            *("--members", "1", "--json"),
        ]
    )
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


@pytest.mark.parametrize(
    "series",
    [pytest.param(JULY, marks=pytest.mark.long), DEPLOYED],
    ids=["July", "June to August"],
)
def test_a_gap_between_safe_months_changes_no_date_and_no_verdict(
    capsys, tmp_path, series
):
    whole = assessed(capsys, tmp_path, FULL)
    holed = assessed(capsys, tmp_path, series)
    assert whole["move_in"]["n"] == whole["winters"]["n"] == 12
    for key in ("move_in", "move_out", "months"):
        assert holed[key] == whole[key], key
    assert holed["winters"]["n"] == 12
    assert holed["verdict"]["word"] == whole["verdict"]["word"]
    # What is not known is said: no heat of these months was measured.
    reason = holed["verdict"]["reasons"][-1]
    assert "on record" in reason
    assert "the heat then is not known" in reason
    assert all("on record" not in r for r in whole["verdict"]["reasons"])


def test_a_winter_that_the_record_cuts_counts_by_its_winter_nights(capsys, tmp_path):
    cut = assessed(capsys, tmp_path, CUT)
    assert cut["winters"]["n"] == 12
    assert cut["move_in"]["n"] == 12
    # By hand: the last evening by which at most one winter of ten had its first night
    # below 2 °C, of twelve firsts in order between the first and the second.
    local = CUT.index.tz_convert("Etc/GMT-1")
    night = (local - np.timedelta64(12, "h")).tz_localize(None).normalize()
    lowest = CUT.groupby(night).min()
    cold = lowest[lowest < 2.0].index
    growing = np.where(cold.month >= 7, cold.year, cold.year - 1)
    first = [cold[growing == y].min() for y in range(2009, 2021)]
    earliest = sorted(f"{d:%m-%d}" for d in first)[0]
    assert cut["move_in"]["range"]["earliest"] == earliest
    assert cut["move_in"]["status"] == "date"


def test_a_gap_that_may_hide_cold_is_named(capsys, tmp_path):
    result = assessed(capsys, tmp_path, DEPLOYED, plant="Aglaonema")
    into, out = result["move_in"], result["move_out"]
    assert into["status"] == out["status"] == "few"
    assert "nights of July and August are missing" in into["why"]
    assert "0 of 12 winters" in into["why"]
    assert "nights of June are missing" in out["why"]
    assert result["verdict"]["word"] == "cannot say"
    assert "from June to August" in result["verdict"]["reasons"][0]
    assert result["months"]["7"] == "unknown"


def test_of_two_winters_only_the_winters_are_missed(capsys, tmp_path):
    result = assessed(capsys, tmp_path, FULL[: 24 * 365 * 2])
    assert result["move_in"]["why"] == "2 winters on record, at least 3 needed"


@pytest.mark.parametrize("north", [True, False])
def test_only_summer_months_between_safe_ones_are_inferred(north):
    def inferred(safe, unknown):
        table = np.zeros((2, 12, 1), bool)
        table[0, [m - 1 for m in safe]] = True
        table[1, [m - 1 for m in unknown]] = True
        found = between_safe(*table, north=north)[:, 0]
        return (np.flatnonzero(found) + 1).tolist()

    half = 0 if north else 6
    of = lambda *months: [(m - 1 + half) % 12 + 1 for m in months]  # noqa: E731
    assert sorted(inferred(of(6, 8), of(7))) == sorted(of(7))
    assert sorted(inferred(of(5, 9), of(6, 7, 8))) == sorted(of(6, 7, 8))
    assert inferred(of(9), of(6, 7, 8)) == []  # May may be cold
    assert inferred(of(4, 5, 6, 7, 8, 9, 10), of(1)) == []
    assert inferred(of(12, 2), of(1)) == []  # winter is never inferred
    assert sorted(inferred(of(10, 4), of(5, 6, 7, 8, 9))) == sorted(of(5, 6, 7, 8, 9))
