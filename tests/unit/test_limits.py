"""The limits that a plant is judged by, from rows of made profiles."""

from __future__ import annotations

import pytest

from climrisk.advice.limits import limits_of, shifted
from climrisk.core.errors import InputError
from climrisk.core.references import fields_in
from tests.made_plants import plant


def row(value, meaning, basis="yours", **more):
    sources = ["made"] if basis == "published" else []
    return {
        "value": value,
        "meaning": meaning,
        "basis": basis,
        "sources": sources,
        **more,
    }


def test_without_a_source_a_plant_tolerates_three_degrees_less():
    limits = limits_of(plant(12.5), "established")
    assert (limits.preferred_c, limits.tolerated_c) == (12.5, 9.5)
    assert limits.tolerated.basis == "estimate"


def test_the_cautious_end_of_what_sources_say():
    made = plant(
        [row(13.0, "advised_night_low"), row(10.0, "advised_night_low")],
        tolerated=[row(v, "tolerated_limit") for v in (2.0, 5.0, 4.0)],
        ceiling=[row(v, "ceiling") for v in (38.0, 32.0)],
    )
    limits = limits_of(made, "established")
    # Harm by the highest tolerated minimum and the lowest ceiling.
    assert (limits.preferred_c, limits.tolerated_c, limits.heat_c) == (13.0, 5.0, 32.0)


def test_a_row_of_its_state_takes_precedence():
    made = plant(
        [
            row(12.0, "advised_night_low"),
            row(16.0, "advised_night_low", when="unrooted"),
        ],
        tolerated=[
            row(6.0, "tolerated_limit"),
            row(10.0, "tolerated_limit", when="in-spike"),
        ],
    )
    found = {
        state: (limits.preferred_c, limits.tolerated_c)
        for state in ("established", "in-spike", "unrooted", "new-import")
        for limits in (limits_of(made, state),)
    }
    assert found == {
        "established": (12.0, 6.0),
        "in-spike": (12.0, 10.0),
        "unrooted": (16.0, 6.0),
        "new-import": (12.0, 6.0),
    }


def test_strict_tolerates_nothing_below_what_is_preferred():
    for made in (plant(12.0), plant(12.0, tolerated=3.0)):
        limits = limits_of(made, "established", strict=True)
        assert limits.tolerated_c == limits.preferred_c == 12.0


def test_no_plant_prefers_less_than_it_tolerates():
    limits = limits_of(plant(8.0, tolerated=10.0), "established")
    assert (limits.preferred_c, limits.tolerated_c) == (8.0, 8.0)


def test_a_published_day_limit_is_shown_before_one_from_memory():
    made = plant(
        10.0,
        ceiling=[row(38.0, "ceiling", "published")],
        advised_top=[row(28.0, "advised_top", "memory")],
    )
    limits = limits_of(made, "established")
    assert limits.heat_c == 38.0
    assert [r.value for r in limits.day_limits] == [38.0, 28.0]


def test_both_night_minima_shift_together():
    limits = shifted(limits_of(plant(10.0, tolerated=4.0), "established"), 2.0)
    assert (limits.preferred_c, limits.tolerated_c) == (12.0, 6.0)


def test_a_plant_without_a_night_minimum_is_refused():
    made = plant(10.0).model_copy(
        update={"limits": plant(10.0).limits.model_copy(update={"preferred": ()})}
    )
    with pytest.raises(InputError) as caught:
        limits_of(made, "established")
    assert fields_in(caught.value.next_step) == ("preferred", "limit_source")
