"""Five spots of a home and one cattleya: which is best, and on which nights?"""

from __future__ import annotations

import contextlib
import io
import json

import pytest

from climrisk.cli.main import main
from climrisk.spot.kinds import spot_kind

HOME = """
[weather]
demo = true
years = 8

[[spot]]
name = "balcony"
kind = "roofed-balcony"

[[spot]]
name = "shelf"
kind = "wall-shelf"

[[spot]]
name = "walkway"
kind = "roofed-walkway"

[[spot]]
name = "sill"
kind = "window-sill"

[[spot]]
name = "room"
kind = "unheated-room"
"""


def run_json(*words):
    text = io.StringIO()
    with contextlib.redirect_stdout(text):
        assert main(["spots", *words, "--json"]) == 0
    return json.loads(text.getvalue())


@pytest.fixture(scope="module")
def result(tmp_path_factory):
    home = tmp_path_factory.mktemp("home") / "home.toml"
    home.write_text(HOME, "utf-8")
    return run_json(
        *("Cattleya, standard large-flowered hybrids", "--home", str(home)),
        *("--members", "5"),
    )


def test_ranked_with_both_kinds_of_nights_and_reasons_in_words(result):
    assert [r["rank"] for r in result["spots"]] == [1, 2, 3, 4, 5]
    for row in result["spots"]:
        for nights in ("still_nights", "windy_nights"):
            band = row[nights]["hours_below_preferred"]
            assert band["low"] <= band["mid"] <= band["high"]
        assert len(row["reason"]) > 20
    assert result["spots"][0]["spot"] in result["sentence"]


def test_in_wind_the_open_air_spots_are_alike(result):
    """Most differences exist on clear still nights and vanish in wind."""
    open_air = [r for r in result["spots"] if spot_kind(r["kind"]).group == "open-air"]
    assert len(open_air) == 3
    windy = [r["windy_nights"]["offset_k"] for r in open_air]
    assert max(windy) - min(windy) < 1.0


def test_a_roof_never_lowers_the_minimum():
    bare = run_json("Masdevallia", "--demo", "--years", "4", "--spot", "open-rail")
    roofed = run_json(
        *("Masdevallia", "--demo", "--years", "4", "--spot", "open-rail"),
        *("--site", "eaves=2"),
    )
    for part in ("low", "mid", "high"):
        covered = roofed["spots"][0]["lowest_c"][part]
        assert covered >= bare["spots"][0]["lowest_c"][part]
    still = (t["spots"][0]["still_nights"]["offset_k"] for t in (roofed, bare))
    assert next(still) > next(still) + 0.5
