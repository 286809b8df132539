"""Heating failed in ROOM, 3.1 °C at 06:00, 7 h below 8 °C."""

from __future__ import annotations

import json
import re

import pytest

from climrisk.cli.main import main
from climrisk.plants.registry import find
from tests.stories.homes import home_of_23

WORDS = "Heating failed, 3.1° at 06:00, 7 h below 8"


@pytest.fixture
def result(tmp_path, capsys):
    text = home_of_23()
    # All stand in the living room in winter; the fourth and the last are wet.
    for spot in ("balcony", "shelf", "walkway"):
        text = text.replace(f'spot = "{spot}"', 'spot = "living room"')
    rows = text.split("[[plant]]")
    for i in (4, len(rows) - 1):
        rows[i] += 'wetness = "wet"\n'
    path = tmp_path / "home.toml"
    path.write_text("[[plant]]".join(rows), "utf-8")
    run = ["event", "--home", str(path), "--at-spot", "living room"]
    assert main([*run, "--words", WORDS, "--to", "2027-01-12", "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_exposure_of_every_plant_against_its_limits(result):
    assert len(result["plants"]) == 23
    for row in result["plants"]:
        plant = find(row["plant"])
        for kind in ("preferred", "tolerated"):
            limit, met = plant.limit(kind), row[kind]
            assert (limit is None) == (met is None)
            if limit is None:
                continue
            assert met["limit_c"] == limit.value
            hours = met["hours"]
            # 7 hours below 8: at least those below a higher limit, at most below a
            # lower one, none below 3.1.
            if limit.value <= 3.1:
                assert hours["high"] == 0
            elif limit.value < 8:
                assert (hours["low"], hours["high"]) == (0, 7)
            elif limit.value > 8:
                assert (hours["low"], hours["high"]) == (7, None)


def test_wet_plants_stand_first(result):
    wetness = [row["wetness"] for row in result["plants"]]
    assert wetness[:2] == ["wet", "wet"]
    assert "wet" not in wetness[2:]


def test_days_to_look_and_what_not_to_do(result):
    assert [w["date"] for w in result["watch"]] == [
        *("2027-01-15", "2027-01-19", "2027-04-01"),
    ]
    assert [w["after_d"] for w in result["watch"][:2]] == [3, 7]
    texts = " ".join(r["text"] for r in result["do_not"]).lower()
    assert all(word in texts for word in ("away", "water", "feed", "light", "cut"))


def test_neither_death_nor_safety_is_claimed(result):
    claims = re.compile(r"\b(die[sd]?|dead|death|safe|survive[sd]?|recover)\b")
    mine = [result["sentence"], *(p["sentence"] for p in result["plants"])]
    mine += [r["text"] for r in (*result["do"], *result["do_not"])]
    mine += [w["what"] for w in result["watch"]]
    assert not [text for text in mine if claims.search(text.lower())]
