"""The profiles against values copied by hand from the sources' table."""

from __future__ import annotations

import csv
import re
from pathlib import Path

import pytest

from climrisk.advice.chilling import window_of, windows
from climrisk.plants.model import MEANINGS
from climrisk.plants.questions import asking
from climrisk.plants.registry import (
    AmbiguousPlantError,
    all_profiles,
    find,
    profile_folder,
    slug,
    sources,
)

ROWS = list(csv.DictReader(Path(__file__).with_name("profile_values.csv").open()))


@pytest.fixture(scope="module")
def profiles():
    return list(all_profiles())


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['plant']}-{r['source']}")
def test_published_value(row):
    # One row a value and source, as each source (its key in SOURCES.toml) states it.
    rows = getattr(find(row["plant"]).limits, row["kind"])
    match = [r for r in rows if r.value == float(row["value"])]
    assert any(
        row["source"] in r.sources
        and r.meaning == row["meaning"]
        and r.basis == "published"
        for r in match
    )


def test_all_taxa_are_there_and_can_be_judged(profiles):
    assert len(profiles) == 159
    assert all(p.limit("preferred") is not None for p in profiles)


def test_every_source_key_resolves(profiles):
    known = set(sources())
    assert {key for p in profiles for key in p.source_keys} <= known


def test_memory_has_no_source_and_published_has_one(profiles):
    for p in profiles:
        for kind in MEANINGS:
            for row in getattr(p.limits, kind):
                assert (row.basis == "published") == bool(row.sources), (p.name, kind)
                assert row.basis != "estimate", "an estimate is computed, not stored"


def test_tolerated_is_stated_or_from_memory_and_never_an_estimate(profiles):
    for p in profiles:
        for row in p.limits.tolerated:
            assert row.meaning in ("tolerated_limit", "stated_minimum")
            assert row.basis in ("published", "memory")


def test_no_plant_is_held_to_tolerate_more_than_it_is_known_to_survive(profiles):
    for p in profiles:
        if p.limits.survived:
            lowest = min(row.value for row in p.limits.survived)
            assert p.limit("tolerated").value >= lowest, p.name


def test_injury_and_survived_are_never_limits():
    # Hibiscus-like cases: an injury report alone gives no tolerated limit.
    spathiphyllum = find("Spathiphyllum")
    assert spathiphyllum.limits.injury
    assert spathiphyllum.limit("tolerated").basis == "estimate"
    assert find("Stanhopea").limits.survived


def test_general_rules_are_no_requirement():
    # Frowine's general night drop is said of orchids at large.
    assert find("Cymbidium, standard hybrids").night_drop_required_k is None
    # Blanchard & Runkle 2006: no fall is needed for Phalaenopsis to spike.
    assert find("Phalaenopsis hybrids").night_drop_required_k is None


def test_limits_are_in_order(profiles):
    for p in profiles:
        preferred, tolerated = p.limit("preferred"), p.limit("tolerated")
        if tolerated is not None:
            assert tolerated.value <= preferred.value
        assert p.limit("ceiling") is None or p.limit("ceiling").value > 15
        assert p.limit("advised_top") is None or p.limit("advised_top").value > 15


def test_every_window_of_cold_has_its_plants_and_sources():
    slugs = {slug(p.name) for p in all_profiles()}
    for window in windows():
        assert set(window.plants) <= slugs
        assert set(window.sources) <= set(sources())
        assert window.low_c < window.high_c
        assert bool(window.sources) or window.basis == "our estimate"


@pytest.mark.parametrize(
    ("plant", "low_c", "high_c"),
    [
        # A nursery: 35 to 45 °F keep a flytrap dormant.
        ("Dionaea muscipula", 2, 7),
        # A growers' forum: below 5 °C is enough for dormancy.
        ("Cypripedium reginae", 0, 5),
        # A website for windowsill growers: 6 to 10 °C in winter.
        ("Thunia alba", 6, 10),
        # A Seattle nursery: nights of 50 to 55 °F to flower.
        ("Jasminum polyanthum", 10, 13),
        # A gardening website: below 45 °F for 200 to 300 hours.
        ("olive", 0, 7),
    ],
)
def test_published_cold_lies_in_the_window(plant, low_c, high_c):
    window = window_of(find(plant))
    assert window.low_c <= low_c
    assert window.high_c == high_c


@pytest.mark.parametrize(
    "name",
    ["Angraecum", "begonia", "Calanthe", "jasmine", "staghorn fern", "tree fern"],
)
def test_a_shared_name_asks_about_every_plant_it_covers(name):
    with pytest.raises(AmbiguousPlantError) as caught:
        find(name)
    offered = {
        plant.name
        for kind in asking(name, caught.value.choices).kinds
        for plant in kind.plants
    }
    assert set(caught.value.choices) <= offered


def test_every_profile_has_a_light_floor_that_a_source_or_a_class_gives(profiles):
    text = (profile_folder() / "GROUPS.toml").read_text("utf-8")
    found = re.findall(r"^#  light class, ([a-z ]+): ([0-9.]+) ", text, re.MULTILINE)
    classes = {float(value) for _, value in found}
    assert len(found) == len(classes) == 6
    for p in profiles:
        row = p.limit("light_floor")
        assert row is not None, p.name
        if row.meaning == "light_class":
            assert row.basis == "memory"
            assert row.value in classes, p.name
        else:
            assert row.basis == "published"
            # A floor, not the light for good growth: no shade plant needs more.
            assert 0 < row.value <= max(classes), p.name


def test_light_floors_keep_the_order_of_the_trade():
    # Growers agree on this order, from the darkest sill to the brightest bench.
    names = (
        "Spathiphyllum",
        "Phalaenopsis hybrids",
        "Cattleya, standard large-flowered hybrids",
        "Vanda, large tropical hybrids",
    )
    floors = [find(name).limit("light_floor").value for name in names]
    assert floors == sorted(set(floors))
