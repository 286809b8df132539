"""Month states from nights counted by hand, and counts against a plain recount."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pandas as pd
import pytest

from climrisk.advice.chilling import Exemption
from climrisk.advice.months import Month, MonthTable, indoor_block
from climrisk.plants.registry import find
from tests.made_climates import made_climate
from tests.made_nights import NORTH, days_of, hours, judged, nights, record
from tests.made_plants import plant

PLANT = plant(10.0, tolerated=5.0)


@cache
def flat(temperature, *, north):
    return hours(np.full((1, 365), temperature), north=north)


NONE = nights([[]] * 5)


def months(cold, harmful, risk=0.2, **options):
    return MonthTable.of(cold, harmful).months(risk, north=cold.north, **options)


def of_month(month, counts):
    """Return winters with so many nights, the first ones of a month, in each."""
    return nights([list(days_of(month))[:k] for k in counts])


@pytest.mark.parametrize(
    ("harmful", "state"),
    [
        ([2, 2, 2, 0, 0, 0], "in"),  # half of the years have two
        ([2, 2, 1, 0, 0, 0], "watch"),  # a third have two
        ([1, 1, 1, 1, 1, 1], "watch"),  # a single one is a carry-in, not a stay
        ([9, 9, 0, 0, 0, 0], "watch"),
        ([9, 0, 0, 0, 0, 0], "out"),  # 1 year in 6, the accepted risk being 1 in 5
        ([0, 0, 0, 0, 0, 0], "out"),
    ],
)
def test_harmful_nights_decide_a_month(harmful, state):
    made = of_month(12, harmful)
    found = months(made, made)
    assert found[12].state == state
    assert found[12].share_harmful == pytest.approx(np.mean(np.array(harmful) > 0))
    assert found[12].harmful_nights == pytest.approx(np.mean(harmful))
    assert {row.state for m, row in found.items() if m != 12} == {"out"}


@pytest.mark.parametrize(
    ("cold", "state"),
    [
        ([21, 21, 21, 0, 0], "in"),
        ([20, 20, 20, 31, 31], "watch"),  # not more than 20 in the median year
        ([4, 4, 4, 0, 0], "watch"),
        ([3, 3, 3, 31, 31], "out"),
        ([0, 0, 0, 31, 31], "out"),
    ],
)
def test_cold_nights_of_the_median_year_decide_a_month(cold, state):
    found = months(of_month(12, cold), NONE)
    assert found[12].state == state
    assert found[12].cold_nights == np.median(cold)


def test_cold_nights_alone_never_make_a_heated_room_indoors():
    cold = of_month(1, [31] * 5)
    assert months(cold, NONE)[1].state == "in"
    assert months(cold, NONE, heated=True)[1].state == "watch"
    two = of_month(1, [2] * 5)
    assert months(cold, two, heated=True)[1].state == "in"


def test_more_risk_may_free_a_month_but_never_takes_one():
    made = of_month(11, [1, 1, 0, 0, 0])
    assert months(made, made, 0.2)[11].state == "watch"
    assert months(made, made, 0.4)[11].state == "out"


def test_months_known_in_fewer_than_three_years_are_unknown():
    few = nights([[], []])
    assert {m.state for m in months(few, few).values()} == {"unknown"}
    lost = [(i, d) for i in range(3) for d in days_of(12)]
    made = nights([[]] * 5, unknown=lost)
    found = months(made, made)
    assert (found[12].state, found[12].years) == ("unknown", 2)
    assert found[1].state == "out"


@pytest.mark.parametrize(("known", "years"), [(25, 5), (24, 4)])
def test_a_month_is_known_by_four_fifths_of_its_nights(known, years):
    """A month cut short by the record is no year of few cold nights."""
    december = list(days_of(12))
    lost = [(0, d) for d in december[known:]]
    cold = nights([december[:known], *[december] * 4], unknown=lost)
    harmful = nights([december[:2], *[[]] * 4], unknown=lost)
    found = months(cold, harmful)[12]
    assert found.years == years
    assert found.cold_nights == 31
    assert found.share_harmful == pytest.approx(0.2 if years == 5 else 0)


def test_members_are_pooled_over_years():
    """Two of four members have two harmful nights in each of three years."""
    two: list[int] = list(days_of(2))[:2]
    none: list[int] = []
    made = nights([[two, two, none, none]] * 3, members=4)
    row = months(made, made)[2]
    assert (row.state, row.share_harmful, row.harmful_nights) == ("in", 0.5, 1.0)
    made = nights([[two, none, none, none]] * 3, members=4)
    assert months(made, made)[2].state == "watch"


@pytest.mark.parametrize(
    ("cold", "harmful", "state"),
    [
        (3, 0, "out"),
        (4, 0, "watch"),
        (20, 0, "watch"),
        (21, 0, "in"),
        (1, 1, "watch"),
        (2, 2, "in"),
    ],
)
def test_states_in_a_typical_year(cold, harmful, state):
    table = MonthTable.of(of_month(12, [cold]), of_month(12, [harmful]))
    found = table.typical(north=True)
    assert (found[12].state, found[1].state) == (state, "out")
    lost = nights([[]], unknown=[(0, d) for d in days_of(3)])
    assert MonthTable.of(lost, lost).typical(north=True)[3].state == "unknown"


def states(indoors, watched=()):
    words = dict.fromkeys(NORTH, "out")
    words |= dict.fromkeys(indoors, "in") | dict.fromkeys(watched, "watch")
    return {m: Month(word) for m, word in words.items()}


@pytest.mark.parametrize(
    ("indoors", "watched", "block", "together"),
    [
        ((11, 12, 1), (), (11, 12, 1), True),  # over the end of the year
        ((5, 6, 7, 8), (), (5, 6, 7, 8), True),  # over midsummer
        ((11, 1), (12,), (11, 12, 1), True),  # a watched month between belongs
        ((11, 2), (12, 1), (11,), False),  # two of them do not
        ((11, 12, 2), (10, 3), (11, 12), False),
        ((), (11, 12), (), True),
        (NORTH, (), NORTH, True),
        (tuple(m for m in NORTH if m != 7), (7,), NORTH, True),
    ],
)
def test_the_block_of_months_indoors(indoors, watched, block, together):
    found = indoor_block(states(indoors, watched))
    assert (found.months, found.together) == (block, together)


def recount(weather, limit):
    """Nights below a limit by growing year and month, counted from the hours."""
    ahead = pd.Timedelta(hours=-int(weather.place.zone.removeprefix("Etc/GMT")))
    local = pd.DatetimeIndex(weather.time) + ahead
    air = pd.Series(weather.air_temp_c[:, 0], local)
    evening = (air.index - pd.Timedelta(hours=12)).floor("D")
    night = air.groupby(evening).min()
    month, year = night.index.month, night.index.year
    if weather.place.latitude_deg >= 0:
        year = year - (month < 7)
    below = (night < limit).groupby([year, month]).agg(["sum", "size"])
    below.index.names = ["year", "month"]
    return below["sum"][below["size"] >= 28]  # of months that the record holds whole


@pytest.mark.parametrize(
    ("town", "preferred", "tolerated"),
    [("malaga", 12.0, 6.0), ("melbourne", 9.0, 4.0), ("munich", 10.0, 3.0)],
)
def test_counts_are_those_of_a_plain_recount(town, preferred, tolerated):
    weather = made_climate(town, years=5)
    found = judged(weather, plant(preferred, tolerated=tolerated))
    cold, harmful = (recount(weather, limit) for limit in (preferred, tolerated))
    used = set()
    for month, row in found.months.items():
        c = cold.xs(month, level="month")
        h = harmful.xs(month, level="month")
        assert row.years == len(c)
        assert row.cold_nights == np.median(c)
        assert row.harmful_nights == pytest.approx(h.mean())
        assert row.share_harmful == pytest.approx((h > 0).mean())
        used.add(row.state)
    assert "in" in used or "watch" in used


def test_rest_exempts_cold_nights_but_no_harmful_ones():
    """A cool rest lasts from October to February; all nights but July's are cold."""
    cold = [(None, days_of(m), 8.0) for m in NORTH[1:]]
    weather = hours(record(5, cold=[*cold, (None, list(days_of(1))[:3], 3.0)]))
    for rest in ("cool_dry", "dry"):
        found = judged(weather, plant(10.0, tolerated=5.0, rest=rest)).months
        for month in (10, 11, 12, 2):
            assert (found[month].cold_nights, found[month].state) == (0, "out")
        assert (found[1].harmful_nights, found[1].state) == (3, "in")
        for month in (3, 4, 5, 6, 8, 9):
            assert found[month].state == "in"
    for rest in ("none", "drier"):
        found = judged(weather, plant(10.0, tolerated=5.0, rest=rest)).months
        assert found[12].state == "in"


def test_a_southern_rest_lies_from_april_to_august():
    weather = hours(np.full((4, 365), 8.0), north=False)
    found = judged(weather, plant(10.0, tolerated=5.0, rest="dry")).months
    assert [m for m, row in found.items() if row.state == "out"] == [4, 5, 6, 7, 8]


def test_nights_inside_the_wanted_window_do_not_count_as_cold():
    """Odontoglossum-like windows are data; this one is of hybrids of Cymbidium:
    8 to 15.5 °C from August to November."""
    made = plant(12.0, tolerated=5.0, name="Cymbidium, standard hybrids")
    cold = [(None, days_of(m), 9.0) for m in (9, 10, 12)]
    cold += [(None, days_of(11), 7.5)]
    found = judged(hours(record(4, cold=cold)), made).months
    counts = {m: found[m].cold_nights for m in (9, 10, 11, 12)}
    # In November they are colder than wanted; December lies outside the window.
    assert counts == {9: 0, 10: 0, 11: 30, 12: 31}
    other = plant(12.0, tolerated=5.0)
    assert judged(hours(record(4, cold=cold)), other).months[9].cold_nights == 30


@pytest.mark.parametrize("north", [True, False])
def test_one_night_is_exempt_as_it_is_in_the_table(north):
    names = ("Cymbidium, standard hybrids", "Dendrobium nobile type", "Masdevallia")
    for made in (*(find(name) for name in names), plant(10.0, rest="dry")):
        exemption = Exemption.of(made)
        for temperature in (4.0, 9.0, 12.0, 17.0):
            table = judged(flat(temperature, north=north), PLANT).nights
            exempt = exemption.nights(table)
            if exempt is None:
                exempt = np.zeros((len(table), 1), bool)
            for month in NORTH:
                (want,) = np.unique(exempt[table.month == month])
                covered = exemption.covers(month, temperature, north=north)
                assert covered == want


def test_exempt_nights_bring_no_plant_in():
    """Long cold of a rest brings no plant in."""
    cold = [(None, days_of(m), 8.0) for m in (11, 12, 1)]
    weather = hours(record(4, cold=[*cold, (None, days_of(3), 3.0)]))
    dates = judged(weather, plant(10.0, tolerated=5.0, rest="dry")).dates
    # Seen alone, March: the first 31 nights with 21 of March begin ten days before.
    assert dates.move_in.day == days_of(3).start - 10
    plain = judged(weather, PLANT).dates
    assert plain.move_in.day == days_of(11).start - 10
    assert plain.usual_first_cold == days_of(11).start


def test_strict_treats_every_cold_night_as_harmful():
    weather = hours(record(5, cold=[(None, list(days_of(12))[:2], 9.0)]))
    assert judged(weather, PLANT).months[12].state == "out"
    strict = judged(weather, PLANT, strict=True)
    assert strict.months[12].state == "in"
    assert strict.months[12].harmful_nights == 2


def test_a_night_is_cold_strictly_below_its_limit():
    weather = hours(
        record(5, cold=[(None, days_of(12), 10.0), (None, days_of(1), 9.9)])
    )
    found = judged(weather, PLANT).months
    assert (found[12].cold_nights, found[1].cold_nights) == (0, 31)


def test_one_cold_hour_makes_a_night_cold_even_if_the_rest_is_unknown():
    """Two nights of each January hold a single known hour, of 4 °C."""
    weather = hours(record(4))
    day = weather.time.astype("datetime64[D]").astype(str)
    air, hour = weather.air_temp_c.copy(), np.arange(len(weather)) % 24
    for evening in ("01-10", "01-20"):
        at = np.flatnonzero(np.char.endswith(day, evening) & (hour == 23))
        air[(at[:, None] + np.arange(-11, 13)).ravel()] = np.nan
        air[at] = 4.0
    series = replace(weather, values={**weather.values, "air_temp_c": air})
    row = judged(series, PLANT).months[1]
    assert (row.state, row.cold_nights, row.harmful_nights) == ("in", 2, 2)
