"""The south: the record moved by 184 days with its latitude negated.

1 July to 1 January are 184 days, so a growing year of the north becomes one of the
south hour by hour.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climrisk.commands.assess.compute import assess
from climrisk.commands.exposure.compute import exposure
from climrisk.commands.shared.request import AssessRequest
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import spot_kind
from climrisk.weather.synthetic import demo_weather
from tests.made_plants import plant


@pytest.fixture(scope="module")
def pair():
    north = demo_weather().between(0, 24 * 365 * 6)
    place = replace(north.place, latitude_deg=-north.place.latitude_deg)
    time = north.time + np.timedelta64(184 * 24 * 60, "m")
    return north, replace(north, place=place, time=time)


def test_growing_years_equal_to_the_hour(pair):
    a, b = (exposure(w, below=[10.0, 0.0], above=[30.0]) for w in pair)
    for x, y in zip([*a.below, *a.above], [*b.below, *b.above], strict=True):
        assert x.hours == y.hours
        assert x.longest_run_hours == y.longest_run_hours
        assert [g.hours for g in x.by_growing_year] == [
            g.hours for g in y.by_growing_year
        ]
    labels = [g.label for g in b.below[0].by_growing_year]
    assert labels[:2] == ["1996", "1997"]


def test_months_shift_by_six_but_for_edge_days(pair):
    a, b = (exposure(w, below=[10.0]).below[0] for w in pair)
    for month in range(1, 13):
        shifted = str((month + 6 - 1) % 12 + 1)
        # Months differ by up to three days of length or place: 24 h a day, 6 years.
        assert abs(a.by_month[str(month)] - b.by_month[shifted]) <= 3 * 24 * 6


def test_sun_driven_results_agree(pair):
    pot = FilledPot.named("thin-plastic", 12, "pine-bark-fine")
    made = plant(10.0, ceiling=30.0)
    today = date(2026, 11, 25)
    results = [
        assess(
            w, AssessRequest(made, "x", spot_kind("wall-shelf"), pot, today, members=2)
        )
        for w in pair
    ]
    a, b = results
    for part in ("air", "leaf", "root_zone"):
        one, two = getattr(a, part).lowest_c.mid, getattr(b, part).lowest_c.mid
        assert one == pytest.approx(two, abs=0.3)
    assert a.heat.highest_c.mid == pytest.approx(b.heat.highest_c.mid, abs=0.3)
    assert a.verdict.word == b.verdict.word
    north, south = ([r.months[m] for m in r.months] for r in results)
    assert sum(x != y for x, y in zip(north, south, strict=True)) <= 1
    assert next(iter(b.months)) == "1"
