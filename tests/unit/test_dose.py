"""Doses of cold against reports: order, honesty, and what the data file may hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.advice.cold_dose import (
    CONCERN,
    WORDS,
    Met,
    graded,
    reached,
    reports,
    signs_of,
)
from climrisk.plants.registry import all_profiles, find, index, sources
from tests.quick import but_quick

PLANTS = [p for p in all_profiles() if not p.own]


def night(lowest, hours, around=20.0):
    """A day and night from noon on, `hours` of them at `lowest`."""
    air = np.full(48, around)
    air[10 : 10 + hours] = lowest
    return Met.of(air)


def test_every_report_has_a_source_and_plants_that_exist():
    slugs = {e.slug for e in index()}
    families = {f"family {p.family}" for p in PLANTS}
    for row in reports():
        assert row.sources
        assert set(row.sources) <= set(sources())
        assert set(row.plants) <= slugs | families
        assert row.outcome in ("harm", "effect", "endured")
        assert row.nights is None or row.hours is not None


def test_words_promise_neither_death_nor_safety():
    for text in (*WORDS.values(), *(r.wording for r in reports())):
        assert "safe" not in text
        assert "will " not in text
        assert "sure" not in text


def test_moth_orchid_by_the_experiments():
    """Wang (shipping): harm at 15 °C from four days in the dark, not from one night;
    a university thesis: photosynthesis falls after 24 h at 10 °C."""
    moth = find("Phalaenopsis hybrids")
    assert graded(moth, night(15, 10), 15.5).grade == "endured"
    assert graded(moth, Met.of(np.full(96, 15.0)), 15.5).grade == "harm"
    assert graded(moth, Met.of(np.full(95, 15.0)), 15.5).grade == "open"
    assert graded(moth, Met.of(np.full(24, 10.0)), 15.5).grade == "effect"
    assert graded(moth, night(16, 12), 15.5).grade == "within"


def test_peace_lily_between_two_reports_is_left_open():
    """Qu 2000: no mark after ten days at 10 °C, injury at 7 °C from two days."""
    lily = find("Spathiphyllum")
    assert graded(lily, night(8.5, 14), 13).grade == "harm"  # most foliage below 10
    own = [r for r in reports() if r.sources == ("QU2000",)]
    harm = next(r for r in own if r.outcome == "harm")
    assert not reached(harm, night(7, 24))
    assert reached(harm, Met.of(np.full(48, 7.0)))


def test_a_plant_in_spike_is_not_held_to_what_leaves_endure():
    cymbidium = find("Cymbidium, standard hybrids")
    frost = night(-2, 1)
    assert graded(cymbidium, frost, 7).grade == "conflict"
    assert graded(cymbidium, frost, 5, state="in-spike").grade == "harm"
    assert graded(cymbidium, night(3, 5), 5, state="in-spike").grade == "beyond"


def test_remembered_numbers_give_least_and_most():
    """3.1 °C, 7 h below 8 °C: at or below 5 °C for one to seven hours."""
    met = Met(3.1, below_c=8, hours=7)
    assert met.stretch_h(5) == (1, 7)
    assert met.stretch_h(8) == (7, 7)
    assert met.stretch_h(3) == (0, 0)
    assert met.stretch_h(10)[0] == 7


def test_unknown_hours_neither_add_to_harm_nor_shorten_what_was_endured():
    air = np.full(96, 15.0)
    air[40:60] = np.nan
    moth = find("Phalaenopsis hybrids")
    assert graded(moth, Met.of(air), 15.5).grade == "open"
    assert graded(moth, Met.of(np.full(5, np.nan)), 15.5).grade == "unknown"


#: How bad a reader takes each sentence to be, written down apart from the program.
SEVERITY = {
    "within": 0,
    "endured": 1,
    "effect": 2,
    "open": 3,
    "conflict": 4,
    "beyond": 5,
    "harm": 6,
}
STATES = ("established", "in-spike", "unrooted", "new-import")


def test_words_get_worse_with_the_grade():
    """Damage is mentioned from the first grade where it is likely, and in all after."""
    assert list(reversed(CONCERN)) == sorted(SEVERITY, key=SEVERITY.__getitem__)
    worst_first = [WORDS[grade] for grade in CONCERN]
    assert ["expect damage" in text for text in worst_first] == [True] * 2 + [False] * 5
    assert "damage" in WORDS["conflict"]


@given(
    plant=st.sampled_from(PLANTS),
    state=st.sampled_from(STATES),
    lowest=st.floats(-12, 18),
    hours=st.integers(1, 40),
    nights=st.integers(1, 6),
    colder=st.floats(0, 8),
    longer=st.integers(0, 220),
    more=st.integers(0, 3),
)
def test_more_cold_never_sounds_better(
    plant, state, lowest, hours, nights, colder, longer, more
):
    row = plant.limit("preferred")

    def severity(t, h, n):
        air = np.full(24 * 20, 25.0)
        for night in range(n):
            air[10 + 24 * night : 10 + 24 * night + h] = t
        return SEVERITY[graded(plant, Met.of(air), row.value, state).grade]

    larger = severity(lowest - colder, hours + longer, nights + more)
    assert larger >= severity(lowest, hours, nights)


@pytest.mark.parametrize("part", but_quick(range(8), 0))
def test_growing_cold_of_every_profile(part):
    """Ever colder and ever longer, in steps finer than any report."""
    for plant in PLANTS[part::8]:
        grows_no_milder(plant)


def grows_no_milder(plant):
    preferred = plant.limit("preferred").value
    lows = np.arange(preferred + 0.5, -15, -0.5)
    lengths = (1, 2, 5, 10, 14, 24, 48, 72, 96, 167, 168, 240, 400)
    grid = np.array(
        [
            [
                SEVERITY[graded(plant, Met.of(np.full(h, t)), preferred).grade]
                for h in lengths
            ]
            for t in lows
        ]
    )
    assert (np.diff(grid, axis=0) >= 0).all(), plant.name
    assert (np.diff(grid, axis=1) >= 0).all(), plant.name
    # However hardy others found it: a day at -15 °C is beyond or at reported harm.
    assert (grid[-1, 5:] >= SEVERITY["beyond"]).all(), plant.name


@given(
    plant=st.sampled_from(PLANTS),
    lowest=st.floats(-8, 14),
    colder=st.floats(0, 6),
    hours=st.floats(0.5, 60),
    longer=st.floats(0, 200),
)
def test_remembered_cold_that_is_larger_never_sounds_better(
    plant, lowest, colder, hours, longer
):
    preferred = plant.limit("preferred").value
    below = lowest + 1.0

    def severity(t, h):
        met = Met(t, below_c=below, hours=h)
        return SEVERITY[graded(plant, met, preferred).grade]

    assert severity(lowest - colder, hours + longer) >= severity(lowest, hours)


def test_beyond_every_report_says_so():
    """Psychopsis has no report beyond an hour: below its tolerated minimum damage is to
    be expected, cool hours above it are only watched."""
    plant = find("Psychopsis")
    tolerated, preferred = (plant.limit(k).value for k in ("tolerated", "preferred"))
    assert graded(plant, night(tolerated - 0.1, 3), preferred).grade == "beyond"
    assert graded(plant, night(tolerated, 3), preferred).grade == "open"
    cool = (tolerated + preferred) / 2
    assert graded(plant, Met.of(np.full(167, cool)), preferred).grade == "open"
    assert graded(plant, Met.of(np.full(168, cool)), preferred).grade == "beyond"
    moth = find("Phalaenopsis hybrids")
    assert graded(moth, night(-9, 24), 15.5).grade == "beyond"


@pytest.mark.parametrize("name", ["Phalaenopsis hybrids", "Spathiphyllum"])
def test_signs_are_days_that_a_source_names(name):
    rows = signs_of(find(name))
    assert rows
    assert all(0 < r.first_d <= r.last_d <= 30 for r in rows)
