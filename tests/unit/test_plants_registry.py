"""Finding a plant, and reading a user's own profiles."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.core.errors import InputError
from climrisk.plants import registry
from climrisk.plants.names import nearest
from climrisk.plants.registry import AmbiguousPlantError, find

MINE = """
name = "My windowsill orchid"
synonyms = ["Window"]
label = "intermediate"
[limits]
preferred = [{ value = 12, meaning = "advised_night_low", basis = "yours" }]
"""


@pytest.fixture
def own(tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    folder = tmp_path / "plants"
    folder.mkdir()
    return folder


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("Phalaenopsis hybrids", "Phalaenopsis hybrids"),
        ("phalaenopsis-hybrids", "Phalaenopsis hybrids"),
        ("MOTH ORCHID", "Phalaenopsis hybrids"),
        ("Vanda coerulea", "Vanda coerulea and V. cristata type"),
        ("Neofinetia falcata", "Vanda falcata (Neofinetia)"),
        ("Masdevallia veitchiana", "Masdevallia"),
    ],
)
def test_names_synonyms_and_trade_names(typed, name):
    assert find(typed).name == name


def test_a_genus_of_several_profiles_is_a_question():
    with pytest.raises(AmbiguousPlantError) as caught:
        find("Dendrobium")
    assert "Dendrobium nobile type" in caught.value.choices
    assert len(caught.value.choices) >= 5
    assert caught.value.exit_status == 2


def test_unknown_names_the_nearest():
    with pytest.raises(InputError) as caught:
        find("Blu vanda\n")
    line = caught.value.line()
    assert line.startswith('No plant called "Blu vanda". Did you mean blue vanda')
    assert "\n" not in line


LONG = [e.name for e in registry.index() if len(e.name) >= 12]


@given(st.sampled_from(LONG), st.integers(0, 200))
def test_one_letter_left_out_still_finds_the_name(name, place):
    at = place % len(name)
    misspelt = name[:at] + name[at + 1 :]
    try:
        answer = [find(misspelt).name]
    except AmbiguousPlantError as question:
        answer = question.choices
    except InputError:
        rows = {n: e.name for e in registry.index() for n in (e.name, *e.names)}
        answer = [rows[n] for n in nearest(misspelt)]
    assert name in answer


def test_index_and_schema_are_fresh():
    folder = registry.profile_folder()
    assert (folder / "index.json").read_text("utf-8") == registry.build_index(folder)
    assert (folder / "schema.json").read_text("utf-8") == registry.build_schema()
    assert len(json.loads(registry.build_schema())["properties"]) > 5


def test_own_profile_wins_and_is_marked(own):
    (own / "mine.toml").write_text(MINE)
    plant = find("window")
    assert plant.own
    assert plant.limit("preferred").basis == "yours"
    (own / "phal.toml").write_text(MINE.replace("Window", "moth orchid"))
    assert find("moth orchid").own


@pytest.mark.parametrize(
    ("old", "new", "word"),
    [
        ("value = 12", 'value = "mild"', "preferred"),
        ("value = 12", "value = 500", "less than"),
        ('label = "intermediate"', 'label = "tropical"', "label"),
        ("advised_night_low", "survived_extreme", "cannot mean"),
        ("[limits]", "colour = 3\n[limits]", "colour"),
        ("[limits]", "[limits", "not a TOML file"),
        ('basis = "yours"', 'basis = "published"', "needs a source"),
    ],
)
def test_broken_own_profile_is_one_clear_line(own, old, new, word):
    (own / "mine.toml").write_text(MINE.replace(old, new))
    with pytest.raises(InputError, match=word) as caught:
        find("window")
    assert "mine.toml" in caught.value.line()
    assert "\n" not in caught.value.line()


def test_when_rows_serve_their_state_only():
    cattleya = find("Cattleya, standard large-flowered hybrids")
    assert cattleya.limit("tolerated").value == 7
    assert cattleya.limit("tolerated", when="in-spike").value == 10
    assert cattleya.limit("tolerated", when="unrooted") is None
