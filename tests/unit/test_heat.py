"""Heat from hot hours and warm nights counted by hand."""

from __future__ import annotations

from datetime import date
from itertools import product

import numpy as np
import pytest

from climrisk.advice.heat import HeatCount, HeatCounts
from climrisk.commands.assess.compute import assess
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.request import AssessRequest
from climrisk.core.quantities import in_units
from climrisk.plants.model import LimitRow
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import spot_kind
from tests.made_nights import DAY_HOURS, NORTH, days_of, hours, judged, record
from tests.made_plants import plant

MEANING = {
    "ceiling": "ceiling",
    "advised_top": "advised_top",
    "warm_night": "suffers_above",
}


def count(kind, by_month, basis="published", value=30.0):
    """Return a count whose one year has so much in each month of the calendar."""
    sources = ("made",) if basis == "published" else ()
    row = LimitRow(value=value, meaning=MEANING[kind], basis=basis, sources=sources)
    counts = np.asarray(by_month, float).reshape(1, 12, 1)
    return HeatCount(kind, row, counts)


@pytest.mark.parametrize(
    ("kind", "basis", "most"),
    [
        ("ceiling", "published", 200),
        ("advised_top", "published", 600),
        ("warm_night", "published", 60),
        ("ceiling", "yours", 200),
        ("ceiling", "memory", 600),
        ("advised_top", "memory", 600),
        ("warm_night", "memory", 120),
        ("warm_night", "estimate", 120),
    ],
)
def test_a_spot_is_too_hot_beyond_so_many(kind, basis, most):
    for extra, hot in ((0, False), (1, True)):
        year = np.zeros(12)
        year[6], year[7] = most // 2, most - most // 2 + extra
        heat = HeatCounts((count(kind, year, basis),))
        assert bool(heat.too_hot()) is hot
        # Without August there is less, and it is counted only where the plant is.
        assert not heat.too_hot([m for m in NORTH if m != 8])


def test_the_median_year_counts():
    row = count("ceiling", np.zeros(12))
    years = np.zeros((5, 12, 1))
    years[:, 6, 0] = (0, 150, 201, 500, 900)
    assert HeatCount("ceiling", row.row, years).typical() == 201
    years[2, 6] = 200
    assert not HeatCounts((HeatCount("ceiling", row.row, years),)).too_hot()


def hot_days(days_by_month, *, years=3, hot=33.0, night=15.0):
    """Return a record with so many hot days from the first of each month."""
    highest = np.full((years, 365), 24.0)
    for month, number in days_by_month.items():
        highest[:, list(days_of(month))[:number]] = hot
    return hours(np.full((years, 365), night), highest=highest)


@pytest.mark.parametrize(
    ("number", "basis", "hot"),
    [
        (18, "published", False),  # 198 hours
        (19, "published", True),  # 209 hours
        (54, "memory", False),  # 594 hours
        (55, "memory", True),  # 605 hours
    ],
)
def test_hours_above_a_ceiling_of_a_record(number, basis, hot):
    made = plant(10.0, tolerated=5.0, ceiling=30.0, basis=basis)
    weather = hot_days({7: min(number, 31), 8: max(number - 31, 0)})
    judgement = judged(weather, made)
    assert judgement.heat.counts[0].typical() == number * DAY_HOURS
    assert bool(judgement.heat.too_hot()) is hot


def test_a_limit_is_passed_strictly_above_it():
    weather = hot_days({7: 31}, hot=30.0)
    judgement = judged(weather, plant(10.0, tolerated=5.0, ceiling=30.0))
    assert judgement.heat.counts[0].typical() == 0


@pytest.mark.parametrize(("number", "hot"), [(60, False), (61, True)])
def test_warm_nights_of_a_record(number, hot):
    lowest = record(3)
    lowest[:, list(days_of(7)) + list(days_of(8))[: number - 31]] = 21.0
    judgement = judged(hours(lowest), plant(10.0, tolerated=5.0, warm_night=20.0))
    assert judgement.heat.counts[0].typical() == number
    assert bool(judgement.heat.too_hot()) is hot


def test_heat_counts_only_in_the_months_when_the_plant_is_there():
    """January has hot days and harmful nights: the plant is indoors then."""
    lowest = record(3, cold=[(None, days_of(1), 2.0)])
    highest = np.full((3, 365), 24.0)
    highest[:, list(days_of(1))] = 33.0
    judgement = judged(
        hours(lowest, highest=highest), plant(10.0, tolerated=5.0, ceiling=30.0)
    )
    assert judgement.heat.counts[0].typical() == 31 * DAY_HOURS
    assert judgement.heat.too_hot()
    assert judgement.verdict.months_in == (1,)
    assert judgement.verdict.word == "indoors in winter"
    assert judgement.hot_months == ()


def test_years_that_are_not_known_are_no_cool_years():
    lowest = record(5)
    lowest[:, list(days_of(7)) + list(days_of(8))] = 21.0
    for year in (1, 2, 3):  # 93 of 365 nights missing, the warm ones among them
        lowest[year, :93] = np.nan
    judgement = judged(hours(lowest), plant(10.0, tolerated=5.0, warm_night=20.0))
    assert judgement.heat.counts[0].counts.shape[0] == 2
    assert judgement.heat.counts[0].typical() == 62


def test_a_cut_year_is_no_cool_year():
    """A record from September on has no first summer; the second one counts."""
    lowest = record(3)
    lowest[:, list(days_of(7)) + list(days_of(8))] = 21.0
    whole = hours(lowest)
    cut = whole.between(24 * 62, len(whole))
    judgement = judged(cut, plant(10.0, tolerated=5.0, warm_night=20.0, ceiling=20.0))
    night, day = judgement.heat.counts[1], judgement.heat.counts[0]
    assert (night.kind, day.kind) == ("warm_night", "ceiling")
    assert night.counts.sum(axis=(1, 2)).tolist() == [62, 62]
    assert day.counts.shape[0] == 2


def test_a_typical_year_is_one_whole_year():
    highest = np.full((1, 365), 24.0)
    highest[:, list(days_of(7))[:19]] = 33.0
    weather = hours(record(1), highest=highest, typical=True)
    judgement = judged(weather, plant(10.0, tolerated=5.0, ceiling=30.0))
    assert judgement.heat.counts[0].typical() == 19 * DAY_HOURS


def stretches():
    """Every stretch of months that follow one another round the year."""
    for length, first in product(range(1, 12), range(12)):
        yield tuple((first + i) % 12 + 1 for i in range(length))


@pytest.mark.parametrize("seed", range(8))
def test_a_retreat_is_the_shortest_stretch_that_helps(seed):
    """Against every stretch tried: at most half of what is too hot may be left."""
    rng = np.random.default_rng(seed)
    season = np.maximum(0, np.cos((np.arange(12) - rng.integers(12)) * np.pi / 6))
    hot = np.round(season**2 * rng.uniform(60, 400, 12))
    warm = np.round(np.roll(season, 1) * rng.uniform(0, 31, 12))
    heat = HeatCounts((count("ceiling", hot), count("warm_night", warm)))

    def left(away):
        stay = [m - 1 for m in range(1, 13) if m not in away]
        return max(hot[stay].sum() / 200, warm[stay].sum() / 60)

    found = heat.retreat(NORTH)
    helps = [s for s in stretches() if left(s) <= 0.5]
    shortest = min(len(s) for s in helps)
    assert len(found) == shortest
    assert found in helps
    assert left(found) == min(left(s) for s in helps if len(s) == shortest)


def test_a_retreat_does_not_pass_over_the_months_indoors():
    """Of May and September, hot alike, no stretch takes both."""
    hot = np.zeros(12)
    hot[[4, 8]] = 300
    heat = HeatCounts((count("ceiling", hot),))
    assert heat.retreat((5, 9, 10)) == ()
    assert heat.retreat(NORTH) == (5, 6, 7, 8, 9)


def test_a_summer_retreat_in_place_of_a_refusal():
    made = plant(10.0, tolerated=5.0, ceiling=30.0)
    weather = hot_days({6: 5, 7: 31, 8: 31}, hot=31.0)
    judgement = judged(weather, made)
    found = judgement.verdict
    # 55 of 737 hours are left in June; a room follows the day's mean of 22 °C.
    assert (found.word, found.retreat_months) == ("suits with moves", (7, 8))
    assert found.retreat.indoors
    assert judgement.hot_months == (7, 8)
    (row,) = [c for c in judgement.conditions if c.kind == "retreat"]
    assert row.months == (7, 8)
    assert found.retreat.name in row.words


def test_the_retreat_is_where_there_is_light_enough():
    """A glasshouse passes 30 °C at 28 °C outdoors; a rail, like a room, does not. The
    sill is darker than 4 mol/m² in December, the rail is not."""
    highest = np.full((3, 365), 20.0)
    highest[:, list(days_of(7)) + list(days_of(8))] = 28.0
    weather = hours(record(3), highest=highest, at="station")
    home = [
        NamedSpot(name, spot_kind(kind))
        for name, kind in (("glass", "glasshouse"), ("rail", "open-rail"))
    ]
    for floor, name in ((4.0, "rail"), (0.1, "a window sill")):
        made = plant(10.0, tolerated=5.0, ceiling=30.0, light_floor=floor)
        found = judged(weather, made, "glasshouse", spots=home).verdict
        assert (found.word, found.retreat_months) == ("suits with moves", (7, 8))
        assert found.retreat.name == name


def test_poor_match_where_no_place_is_cool_enough():
    made = plant(10.0, tolerated=5.0, ceiling=30.0)
    judgement = judged(hot_days({7: 31, 8: 31}, hot=36.0, night=29.0), made)
    assert judgement.verdict.word == "poor match"
    assert in_units(judgement.verdict.reasons[0], "metric").startswith(
        "too hot: 682 hours above 30 °C"
    )
    assert judgement.verdict.retreat is None
    # Hot all year, no retreat is of use.
    always = judged(hot_days(dict.fromkeys(NORTH, 31)), made)
    assert always.verdict.word == "poor match"
    assert always.heat.retreat(NORTH) == ()
    assert always.hot_months == NORTH


def test_heat_from_memory_only_warns():
    weather = hot_days({7: 31})  # 341 hours
    judgement = judged(
        weather, plant(10.0, tolerated=5.0, ceiling=30.0, basis="memory")
    )
    assert judgement.verdict.word == "suits"
    (row,) = judgement.conditions
    assert row.kind == "heat"
    assert in_units(row.words, "metric").startswith("341 hours above 30 °C")
    few = judged(hot_days({7: 2}), plant(10.0, tolerated=5.0, ceiling=30.0))
    assert few.conditions == []  # 22 hours, two afternoons


def test_heat_of_a_record_without_a_whole_year_is_not_known():
    """Four cool weeks of a logger do not say that the summer is cool enough."""
    whole = hours(record(1))
    question = AssessRequest(
        plant(10.0, tolerated=5.0, ceiling=30.0),
        "made",
        None,
        FilledPot.named("thin-plastic", 12, "pine-bark-fine"),
        date(2026, 11, 25),
        members=1,
    )
    short = assess(whole.between(0, 24 * 28), question).heat
    assert (short.met, short.limits[0].typical) == (None, None)
    assert assess(whole, question).heat.met is True
