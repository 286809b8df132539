"""A phone says 4 °C, wind 6 km/h, clear; then the same 4 °C with a gale."""

from __future__ import annotations

import json

import pytest

from climrisk.cli.main import main
from climrisk.plants.registry import find
from tests.stories.homes import home_of_23, plants

CALM = "4°, wind 6 km/h, clear"
WINDY = "4°, wind 30, gusts 45 km/h"


@pytest.fixture
def printed(tmp_path, capsys):
    path = tmp_path / "home.toml"
    path.write_text(home_of_23(), "utf-8")

    def ask(words, *more):
        run = ["tonight", "--home", str(path), "--as-of", "2027-01-15"]
        assert main([*run, "--words", words, *more]) == 0
        return capsys.readouterr().out

    return ask


def test_expected_and_plan_of_the_balcony(printed):
    # Prior of a roofed balcony, 1.5 K on clear still nights and 0.3 K in wind; margin
    # of the forecast 2 K joined with the spot's 1.5 K by their squares: 2.5 K.
    calm = json.loads(printed(CALM, "--json"))
    balcony = next(s for s in calm["spots"] if s["name"] == "balcony")
    assert balcony["expected_c"] == 5.5
    assert balcony["plan_for_c"] == 3.0
    windy = json.loads(printed(WINDY, "--json"))
    balcony = next(s for s in windy["spots"] if s["name"] == "balcony")
    assert balcony["expected_c"] == 4.3
    assert balcony["margin_k"] > 0


def test_another_list_in_wind_and_no_cover(printed):
    calm, windy = (
        json.loads(printed(CALM, "--json")),
        json.loads(printed(WINDY, "--json")),
    )
    covered = {row["label"] for row in calm["cover"]}
    assert covered
    for row in calm["cover"]:
        # Above what the profile says it tolerates, or a cover makes up the rest.
        limit = find(row["plant"]).limit("tolerated")
        tolerated = limit is not None and row["plan_for_c"] >= limit.value
        assert tolerated or row["short_k"] <= 1.0
    assert windy["cover"] == []
    assert "useless" in windy["cover_words"]
    assert windy["first"][0].startswith("Wind first")
    assert covered <= {row["label"] for row in (*windy["carry"], *windy["leave"])}
    for document in (calm, windy):
        rows = [*document["carry"], *document["cover"], *document["leave"]]
        assert sorted(r["label"] for r in rows) == sorted(p[1] for p in plants())
        sentence = document["sentence"]
        assert sentence.startswith(
            f"Carry {len(document['carry'])}, cover {len(document['cover'])}, "
            f"leave {len(document['leave'])}."
        )


def test_heavy_pots_come_first_on_a_still_night(printed):
    carry = json.loads(printed(CALM, "--json"))["carry"]
    weights = [row["weight_kg"] for row in carry]
    assert weights == sorted(weights, reverse=True)


def test_read_in_five_seconds_outdoors(printed):
    lines = printed(CALM).splitlines()
    # What to do stands in the first line; the lists begin within a phone's screen.
    assert lines[0].startswith("CARRY IN ")
    assert "plan for" in " ".join(lines[1:4])
    assert any(line.startswith("  Carry in  ") for line in lines[:8])
    assert len(lines) <= 16
