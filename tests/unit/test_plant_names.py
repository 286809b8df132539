"""Rules that hold for every name, and the data they rest on."""

from __future__ import annotations

import tomllib
from importlib import resources
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.plants.names import nearest, resolve
from climrisk.plants.questions import asking
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError, index, key
from climrisk.plants.spelling import distance, misspelling, words_of
from tests.quick import but_quick

SLUGS = {entry.slug: entry.name for entry in index()}

#: Genera and plants that are near a name of ours in spelling, and are none of ours.
NEAR_MISSES = [
    *("Bergenia", "Brassica", "Calathea", "Canna", "Cassia", "Catalpa", "Cistus"),
    *("Colocasia", "Columnea", "Dahlia", "Freesia", "Gazania", "Hosta", "Lewisia"),
    *("Lobelia", "Ludwigia", "Melon", "Nerine", "Panda", "Salvia", "Stapelia"),
    *("Thuja", "Viola", "Zinnia", "Manila", "Rhododendron", "Echinacea", "Epimedium"),
]


#: Names in lists of plants. Of the genera that have several profiles only one is sold
#: by its bare name: a Phalaenopsis is a hybrid unless its species is said.
SHORT = {entry.short: entry.name for entry in index()}


def test_a_name_that_answers_show_is_accepted():
    for short, name in SHORT.items():
        found = resolve(short)
        assert (found.profile.name, found.read_as) == (name, None), short


@pytest.mark.parametrize("typed", ["Phalaenopsis", "Phal", "Phal.", "phalaenopsis"])
def test_a_genus_and_its_abbreviation_lead_to_the_same(typed):
    assert resolve(typed).profile.name == "Phalaenopsis hybrids"
    assert "warm star" in meant("Phalaenopsis bellina")[0]


def data(name: str) -> dict[str, Any]:
    file = resources.files("climrisk.plants").joinpath(f"data/{name}")
    return tomllib.loads(file.read_text("utf-8"))


def meant(typed: str) -> list[str]:
    """Return the profiles a name resolves to or asks about."""
    try:
        return [resolve(typed).profile.name]
    except AmbiguousPlantError as question:
        return question.choices


def read_as(typed: str) -> str | None:
    """Return what a name is read as, in an answer or a question."""
    try:
        return resolve(typed).read_as
    except AmbiguousPlantError as question:
        return question.read_as
    except UnknownPlantError:
        return None


def test_every_listed_name_leads_to_its_profile():
    for entry in index():
        for name in (entry.name, entry.slug, *entry.names):
            assert entry.name in meant(name), name
            assert entry.name in meant(name.upper()), name


def test_every_species_of_a_known_genus_leads_somewhere():
    for entry in index():
        for genus in entry.genera:
            assert meant(genus), genus
            assert meant(f"{genus} nonexistens"), genus


@pytest.mark.parametrize("step", but_quick([1, 9], 9), ids=["all", "every ninth"])
def test_a_common_name_does_not_match_by_its_first_word(step):
    listed = {words_of(n) for e in index() for n in (e.name, *e.names)}
    genera = {words_of(g) for e in index() for g in e.genera}
    topics = {
        words_of(n)
        for row in data("questions.toml")["question"]
        for n in (row["about"], *row["names"])
    }
    extra = data("names.toml")
    topics |= {words_of(n) for n in (*extra["genera"], *extra["trade"])}
    first = {words_of(n)[:1] for e in index() for n in e.names if n[0].islower()}
    # A class by itself is an answer: how a plant is sold.
    alone = first - listed - genera - topics - {("cool",)}
    assert len(alone) > 50
    for (word,) in sorted(alone)[::step]:
        with pytest.raises(UnknownPlantError):
            resolve(word)


@pytest.mark.parametrize("name", NEAR_MISSES)
def test_other_plants_are_not_corrected(name):
    assert read_as(name) is None


def test_says_what_a_name_was_read_as():
    assert resolve("Moth Orchids").read_as is None
    assert resolve("Masdevallia").read_as is None
    assert resolve("lemon tree").read_as == "Citrus, lemon and lime"
    assert resolve("Masdevalia").read_as == "Masdevallia"
    assert resolve("Masdevallia floribunda").read_as == "Masdevallia"
    with pytest.raises(AmbiguousPlantError) as caught:
        resolve("Cymbidum")
    assert caught.value.read_as == "Cymbidium"
    with pytest.raises(AmbiguousPlantError) as caught:
        resolve("Cymbidium orchids")
    assert caught.value.read_as is None


def test_a_species_beside_a_part_of_its_genus_may_be_none_of_it():
    with pytest.raises(AmbiguousPlantError) as caught:
        resolve("Musa basjoo")
    assert caught.value.unlisted
    question = asking(caught.value.about, caught.value.choices, others=True)
    words = [kind.word for kind in question.kinds]
    assert words[0] == "Musa and Ensete, tender"
    assert words[1:] == [
        f"none of these, {c}" for c in ("warm", "intermediate", "cool")
    ]


def test_a_plant_without_profile_is_named_by_how_it_is_sold():
    for label in ("warm", "intermediate", "cool"):
        article = "an" if label == "intermediate" else "a"
        grower = resolve(f"{article} {label} grower").profile
        assert grower.label == label
        assert grower.limits.preferred[0].meaning == "class_lower_bound"


def test_sound_goes_before_letters_and_equally_near_names_are_asked_about():
    # By sound the cactus Mammillaria, whose name has a double m; by letters two wrong
    # from it, and two from Maxillaria.
    assert meant("Mamilaria") == ["Cacti, desert"]
    # One letter from Rhynchostele and from Rhynchostylis.
    both = meant("Rhynchostelis")
    assert {name.split()[0] for name in both} == {"Rhynchostele", "Rhynchostylis"}


def test_every_written_question_can_be_answered():
    for row in data("questions.toml")["question"]:
        plants = [slug for kind in row["kind"] for slug in kind["plants"]]
        assert set(plants) <= SLUGS.keys(), row["about"]
        assert len(plants) == len(set(plants)), row["about"]
        assert row["ask"].endswith("?")
        for name in (row["about"], *row["names"]):
            if name in SHORT:
                assert resolve(name).profile.name == SHORT[name]
                continue
            with pytest.raises(AmbiguousPlantError) as caught:
                resolve(name)
            assert caught.value.about == row["about"]
            assert caught.value.choices[: len(plants)] == [SLUGS[s] for s in plants]


def test_every_genus_of_several_profiles_has_a_question_with_all_of_them():
    by_genus: dict[str, list[str]] = {}
    for entry in index():
        for genus in entry.genera[:1]:
            by_genus.setdefault(genus, []).append(entry.name)
    for genus, names in by_genus.items():
        if len(names) < 2 or genus in SHORT:
            continue
        with pytest.raises(AmbiguousPlantError) as caught:
            resolve(genus)
        question = asking(caught.value.about, caught.value.choices)
        offered = {plant.name for kind in question.kinds for plant in kind.plants}
        assert set(names) <= offered, genus
        assert question.ask.endswith("?")


def test_names_beyond_the_profiles_lead_to_profiles():
    extra = data("names.toml")
    topics = {key(row["about"]) for row in data("questions.toml")["question"]}
    for slugs in extra["genera"].values():
        assert set(slugs) <= SLUGS.keys()
    for slug, species in extra["species"].items():
        for name in species:
            assert SLUGS[slug] in meant(name), name
    for to in extra["trade"].values():
        assert to in SLUGS or key(to) in topics, to


def test_every_abbreviation_leads_where_its_genus_leads():
    sources = ("RHS_2007", "NAMES", "PRESS", "GROWERS", "ENCYC", "LAELIINAE")
    rows = data("abbreviations.toml")["abbreviation"]
    assert len({row["short"] for row in rows}) == len(rows)
    for row in rows:
        assert row["source"] in (*sources, "memory", "trade")
        if row["genus"] == ["Cypripedium"] and "Cypripedium" not in SLUGS.values():
            continue
        found = meant(f"{row['short']}.")
        for genus in row["genus"]:
            assert set(found) & set(meant(genus)), row["short"]


@pytest.mark.parametrize(
    ("a", "b", "letters"),
    # Textbook pairs; the last shows that a swap is not changed twice.
    [("kitten", "sitting", 3), ("flaw", "lawn", 2), ("ab", "ba", 1), ("ca", "abc", 3)],
)
def test_distance_of_textbook_pairs(a, b, letters):
    assert distance(a, b) == distance(b, a) == letters


@given(st.text("abc", max_size=7), st.text("abc", max_size=7))
def test_distance_is_bounded_and_zero_for_equals_only(a, b):
    assert abs(len(a) - len(b)) <= distance(a, b) <= max(len(a), len(b))
    assert (distance(a, b) == 0) == (a == b)


def test_short_words_are_never_corrected():
    assert misspelling("hoia", "hoya") is None
    assert misspelling("vamda", "vanda") == 2
    assert misspelling("vamba", "vanda") is None
    assert misspelling("phalenopsis", "phalaenopsis") == 1


def test_nothing_is_offered_that_is_not_alike():
    assert nearest("tomato") == []
    assert nearest("Blu vanda")[0] == "blue vanda"
