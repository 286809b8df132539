"""What growers in many climates say of plants, against the verdict.

Each row of ``trade_facts.csv`` is what a grower in a climate says of a plant at a spot,
with its source; sources are keys of the profiles' sources, organizations, or neutral
descriptions. The climates are made (see ``tests/made_climates.py``), so this tests the
rules and the limits, not a record. ``pytest -s`` prints the table.
"""

from __future__ import annotations

import csv
from collections import Counter
from functools import lru_cache
from pathlib import Path

import pytest

from climrisk.advice.limits import limits_of
from climrisk.advice.verdict import STEP
from climrisk.plants.registry import all_profiles, find
from climrisk.simulate.judgements import Judgements
from climrisk.spot.kinds import spot_kind
from climrisk.spot.members import worlds
from climrisk.spot.transfer import prepare
from tests.made_climates import made_climate, towns

FACTS = list(csv.DictReader(Path(__file__).with_name("trade_facts.csv").open()))
RISKS = (0.1, 0.2)
SPOTS = ("roofed-balcony", "wall-shelf", "glasshouse", "window-sill", "heated-room")
#: Least that agree, of all and of those that exclude "suits"; most far off or not said.
LEAST_AGREE, LEAST_STRICT, MOST_FAR = 88, 18, 2


@lru_cache(maxsize=2)
def home(climate, members=20):
    return Judgements(prepare(made_climate(climate), worlds(members)))


def judged(row):
    plant = find(row["plant"])
    at = home(row["climate"]).at(
        spot_kind(row["spot"]), plant, limits_of(plant, "established"), RISKS
    )
    return at.verdict


def agreement(word, fair):
    """Return how far a word lies from those that growers would say."""
    if word in fair:
        return "agrees"
    if word == "cannot say":
        return "cannot say"
    steps = min(abs(STEP[word] - STEP[f]) for f in fair)
    return "one step off" if steps <= 1 else "wrong"


@pytest.mark.slow
def test_verdicts_agree_with_what_growers_say():
    found = []
    for row in sorted(FACTS, key=lambda r: r["climate"]):
        word = judged(row).word
        found.append((row, word, agreement(word, row["fair"].split("|"))))
    for row, word, how in found:
        place = f"{row['climate']:14}{row['spot']:16}{row['plant'][:44]:46}"
        print(f"{how:14}{place}{word:20}{row['fair']}")
    count = Counter(how for _, _, how in found)
    strict = Counter(how for r, _, how in found if "suits" not in r["fair"].split("|"))
    print(dict(count), "of those that exclude suits:", dict(strict))
    assert len(found) == 96
    assert count["agrees"] >= LEAST_AGREE
    assert strict["agrees"] >= LEAST_STRICT
    assert count["wrong"] <= 1
    assert count["wrong"] + count["cannot say"] <= MOST_FAR


@pytest.mark.slow
@pytest.mark.parametrize("climate", ["lisbon", "munich", "singapore"])
def test_few_plants_get_no_verdict_where_there_are_ten_winters(climate):
    words = Counter()
    for spot in SPOTS:
        for plant in all_profiles():
            limits = limits_of(plant, "established")
            found = home(climate).at(spot_kind(spot), plant, limits, RISKS)
            words[found.verdict.word] += 1
    total = sum(words.values())
    print(climate, {w: f"{n / total:.0%}" for w, n in words.most_common()})
    assert words["cannot say"] < 0.1 * total
    assert set(words) > {"suits", "poor match"}


def test_every_climate_of_a_fact_is_made():
    assert {row["climate"] for row in FACTS} <= set(towns())
