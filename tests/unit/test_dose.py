"""Doses of cold against reports: order, honesty, and what the data file may hold."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.advice.dose import WORDS, Met, graded, reached, reports, signs_of
from climrisk.plants.registry import all_profiles, find, index, sources

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
    for text in (*WORDS.values(), *(r.told for r in reports())):
        assert "safe" not in text
        assert "will " not in text


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
    assert graded(cymbidium, night(3, 5), 5, state="in-spike").grade == "open"


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


RANK = {"within": 0, "endured": 1, "open": 2, "conflict": 3, "effect": 3, "harm": 4}


@given(
    plant=st.sampled_from(PLANTS),
    lowest=st.floats(-8, 16),
    hours=st.integers(1, 40),
    colder=st.floats(0, 6),
    longer=st.integers(0, 40),
)
def test_more_cold_never_sounds_better(plant, lowest, hours, colder, longer):
    row = plant.limit("preferred")

    def grade(t, h):
        air = np.full(240, 25.0)
        air[10 : 10 + h] = t
        return RANK[graded(plant, Met.of(air), row.value).grade]

    # A conflict and an effect share a rank: neither settles more than the other.
    assert grade(lowest - colder, hours + longer) >= grade(lowest, hours)


@pytest.mark.parametrize("name", ["Phalaenopsis hybrids", "Spathiphyllum"])
def test_signs_are_days_that_a_source_names(name):
    rows = signs_of(find(name))
    assert rows
    assert all(0 < r.first_d <= r.last_d <= 30 for r in rows)
