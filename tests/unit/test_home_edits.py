"""Spots renamed and removed, equal plants told apart, lists read as written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.core.errors import InputError
from climrisk.home import HomeEdit, parse_home
from climrisk.home.collection import length_cm, read_pasted
from climrisk.home.model import references

HOME = """\
# Keep this line.
version = 1
name = "flat"
[weather]
demo = true

[[spot]]
name = "rail"       # windy
kind = "open-rail"
room = "study"

[[spot]]
name = "shelf"
kind = "wall-shelf"

[[room]]
name = "study"
kind = "heated-room"

[[plant]]
name = "Cymbidium, standard hybrids"
label = "big one"
spot = "Rail"
room = "study"
moves = [
    {on = 2025-10-01, to = "study"},
    {on = 2026-05-02, to = "rail"},
]

# the small ones
[[plant]]
name = "Masdevallia"
spot = "shelf"

[[plant]]
name = "Masdevallia"
spot = "shelf"
"""
PLACES = ("balcony", "sill", "shelf", "back room")


def edited(change):
    edit = HomeEdit(HOME)
    change(edit)
    return edit.text(), parse_home(edit.text(), where="made")


def test_a_renamed_spot_is_renamed_wherever_it_is_used():
    text, home = edited(lambda e: e.rename_place("RAIL", "railing"))
    assert home.spot[0].name == "railing"
    assert home.plant[0].spot == "railing"
    assert [m.to for m in home.plant[0].moves] == ["study", "railing"]
    assert text == (
        HOME.replace('name = "rail" ', 'name = "railing" ')
        .replace('"Rail"', '"railing"')
        .replace('to = "rail"', 'to = "railing"')
    )
    text, home = edited(lambda e: e.rename_place("study", "office"))
    assert (home.spot[0].room, home.plant[0].room) == ("office", "office")
    assert "study" not in text


def test_two_places_of_one_name_are_refused():
    with pytest.raises(InputError, match="used twice"):
        edited(lambda e: e.rename_place("rail", "Shelf"))


def test_the_plants_of_a_removed_spot_go_where_they_are_told_to():
    with pytest.raises(InputError, match="stand"):
        edited(lambda e: e.remove_place("rail"))
    text, home = edited(lambda e: e.remove_place("rail", "shelf"))
    assert [s.name for s in home.places] == ["shelf", "study"]
    assert home.plant[0].spot == "shelf"
    # It stood there by the last note, and stands on the other spot now.
    assert [m.to for m in home.plant[0].moves] == ["study", "shelf"]
    assert "# Keep this line." in text
    assert "# the small ones" in text


def test_a_removed_room_is_no_plants_room_any_more():
    _, home = edited(lambda e: e.remove_place("study"))
    assert [s.name for s in home.places] == ["rail", "shelf"]
    assert (home.spot[0].room, home.plant[0].room) == (None, None)
    # The note of a winter there is gone; the one that holds stays.
    assert [m.to for m in home.plant[0].moves] == ["rail"]


def test_a_reference_to_one_of_two_equal_plants_never_finds_the_other():
    first, second = references(parse_home(HOME, where="made").plant)[1:]
    assert first != second
    edit = HomeEdit(HOME)
    edit.remove("plant", edit.plant_of(first))
    once = HomeEdit(edit.text())
    for late in (first, second):
        with pytest.raises(InputError, match="changed or removed meanwhile"):
            once.plant_of(late)
    left = references(parse_home(edit.text(), where="made").plant)
    assert once.plant_of(left[1])["name"] == "Masdevallia"


#: A line, its plant, spot, count, pot size and label, as a grower would mean them.
LINES = """
Masdevallia | Masdevallia | | 1 | 12 |
- 3 Phal., balcony | Phalaenopsis hybrids | balcony | 3 | 12 | Phal.
2. Masdevallia | Masdevallia | | 1 | 12 |
moth orchid x 2 on the sill | Phalaenopsis hybrids | sill | 2 | 12 | moth orchid
Cymbidium, standard hybrids; shelf; 20 cm; old | Cymbidium | shelf | 1 | 20 | old
Citrus, lemon and lime, balcony, 2 | Citrus, lemon and lime | balcony | 2 | 12 |
lemon tree, 5 in pot | Citrus, lemon and lime | | 1 | 12.7 |
Masdevallia, the white one | Masdevallia | | 1 | 12 | the white one
4x Cacti, desert (shelf) | Cacti, desert | shelf | 4 | 12 |
Clivia - Back room | Clivia | Back room | 1 | 12 |
Masdevallia; 3; balcony | Masdevallia | balcony | 3 | 12 |
moth orchid x 2 on my terrace | Phalaenopsis hybrids | terrace | 2 | 12 | moth orchid
Dendrobium nobile type 3 | Dendrobium nobile type | | 3 | 12 |
"""


@pytest.mark.parametrize("line", LINES.strip().splitlines())
def test_a_line_of_a_list_is_read_as_its_grower_means_it(line):
    line, name, spot, count, size, label = (c.strip() for c in line.split("|"))
    (row,) = read_pasted(line, PLACES, where="list")
    assert row.problem == ""
    # The plant of the profile, by whatever longer name it has.
    assert row.name is not None
    assert row.name.startswith(name)
    assert row.spot == spot
    assert row.values.get("count", 1) == int(count)
    assert row.values.get("pot_diameter_cm", 12) == float(size)
    assert row.values.get("label", "") == label


def test_what_is_not_understood_keeps_its_line_and_its_words():
    text = "Masdevallia\n\nCattleya\nblu vanda\nqwertz uiop\n"
    rows = read_pasted(text, PLACES, where="list")
    assert [r.line for r in rows] == [1, 3, 4, 5]
    assert [r.typed for r in rows[1:]] == ["Cattleya", "blu vanda", "qwertz uiop"]
    assert rows[1].name is None
    assert len(rows[1].choices) > 2
    assert "blue vanda" in rows[2].choices
    assert rows[3].problem
    with pytest.raises(InputError, match="no plants in the list"):
        read_pasted(" \n \n", PLACES, where="list")


def test_a_table_with_a_header_is_read_as_csv():
    text = "Plant;Place;How many\nPhal.;balcony;2\n"
    (row,) = read_pasted(text, PLACES, where="list")
    assert (row.name, row.spot, row.values["count"]) == (
        "Phalaenopsis hybrids",
        "balcony",
        2,
    )
    with pytest.raises(InputError, match="there twice"):
        read_pasted("Plant,Place,Spot\nPhal.,a,b\n", PLACES, where="list")


@given(st.text(st.characters(exclude_categories=["Cc", "Zl", "Zp"]), max_size=60))
@pytest.mark.long
def test_any_line_with_a_letter_is_a_row_that_says_what_is_wrong(line):
    rows = read_pasted(f"{line} Masdevallia\n{line}q", PLACES, where="list")
    assert len(rows) == 2
    assert all(r.name is not None or r.problem for r in rows)


@pytest.mark.parametrize(
    ("text", "unit", "cm"),
    [
        ("12", "cm", 12.0),
        ("12", "in", 30.48),
        ("12,5 cm", "in", 12.5),
        ('5"', "cm", 12.7),
        ("120 mm", "cm", 12.0),
        ("wide", "cm", None),
        ("", "cm", None),
    ],
)
def test_a_bare_length_is_in_the_readers_unit(text, unit, cm):
    assert length_cm(text, unit) == cm
