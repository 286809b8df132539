"""What must move one way: warmth, tolerance and risk in made climates."""

from __future__ import annotations

from functools import cache
from itertools import pairwise

import pytest

from climrisk.advice.dates import spring_risk
from climrisk.advice.months import indoor_block
from tests.made_climates import made_climate
from tests.made_nights import judged
from tests.made_plants import plant
from tests.quick import but_quick

TOWNS = ("malaga", "san-francisco", "melbourne", "houston", "munich", "bogota")
ORDER = {"out": 0, "watch": 1, "in": 2}
LIMITS = ((16.0, 10.0), (12.0, 7.0), (8.0, 2.0))
RESTS = ("none", "cool_dry")


@cache
def town(name, warmer_k=0.0):
    return made_climate(name, years=5, warmer_k=warmer_k)


def judgement_of(
    name, limits, *, rest="none", warmer_k=0.0, risk=0.2, spot="as-measured"
):
    preferred, tolerated = limits
    made = plant(preferred, tolerated=tolerated, rest=rest)
    spring = spring_risk(risk)
    return judged(town(name, warmer_k), made, spot, risk=risk, spring=spring, members=3)


def no_worse(better, worse):
    """Whether months, block and dates are nowhere worse."""
    for month, row in better.months.items():
        assert ORDER[row.state] <= ORDER[worse.months[month].state]
    inside = [set(indoor_block(t.months).months) for t in (better, worse)]
    assert len(inside[0]) <= len(inside[1])
    # Later in, earlier out; without a date there is nothing to move for.
    begin, end = zip(*(t.dates.indoors for t in (better, worse)), strict=True)
    assert begin[0] >= begin[1]
    assert end[0] <= end[1]


@pytest.mark.parametrize("name", but_quick(TOWNS, TOWNS[0]))
@pytest.mark.parametrize("limits", LIMITS)
def test_a_warmer_climate_is_never_worse(name, limits):
    for rest in RESTS:
        rows = [
            judgement_of(name, limits, rest=rest, warmer_k=k)
            for k in (0.0, 0.7, 2.0, 5.0)
        ]
        for worse, better in pairwise(rows):
            no_worse(better, worse)


@pytest.mark.parametrize("name", TOWNS)
def test_a_more_tolerant_plant_never_does_worse(name):
    for spot in ("as-measured", "roofed-balcony"):
        base = judgement_of(name, (13.0, 8.0), spot=spot)
        for limits in ((13.0, 6.0), (11.0, 8.0), (10.0, 5.0), (6.0, 0.0)):
            no_worse(judgement_of(name, limits, spot=spot), base)


@pytest.mark.parametrize("name", TOWNS)
def test_a_rest_never_makes_it_worse(name):
    for limits in LIMITS:
        no_worse(
            judgement_of(name, limits, rest="cool_dry"), judgement_of(name, limits)
        )


@pytest.mark.parametrize("name", TOWNS)
@pytest.mark.parametrize("limits", LIMITS)
def test_more_risk_is_never_more_careful(name, limits):
    rows = [judgement_of(name, limits, risk=r) for r in (0.02, 0.1, 0.2, 0.35, 0.5)]
    for careful, bold in pairwise(rows):
        no_worse(bold, careful)
        assert [m for m, r in bold.months.items() if r.state == "in"] == [
            m for m, r in careful.months.items() if r.state == "in"
        ]


def test_the_climates_differ_enough_to_mean_something():
    states = {
        row.state
        for name in TOWNS
        for limits in LIMITS
        for row in judgement_of(name, limits).months.values()
    }
    assert states == set(ORDER)
    statuses = {judgement_of(n, x).dates.move_in.status for n in TOWNS for x in LIMITS}
    assert {"date", "never"} <= statuses
