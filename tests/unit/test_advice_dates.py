"""Dates by their risk and by long cold, against plain ways of finding them."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climrisk.advice.dates import (
    LongCold,
    move_in,
    move_out,
    moving_dates,
    quantiles,
    spring_risk,
)
from climrisk.core.calendar import day_of_season, season_date
from climrisk.core.quantities import in_units
from climrisk.core.typed_text import Viewer
from tests.made_nights import days_of, hours, judged, nights, record
from tests.made_plants import plant

NEVER = LongCold(np.array([np.inf]), np.array([-np.inf]))


def both(cold, harmful, risks=(0.2, 0.25), *, any_month_in=True):
    long_cold = LongCold.of(cold)
    return moving_dates(
        *(cold, harmful, long_cold, risks),
        any_month_in=any_month_in,
        limits_c=(10.0, 7.0),
    )


def test_season_days_are_calendar_days():
    # 1 July is day 0, 30 June day 364; the 29th of February shares the 28th's number.
    days = np.array(
        ["2019-07-01", "2020-02-28", "2020-02-29", "2020-03-01", "2020-06-30"]
    )
    number = day_of_season(days.astype("datetime64[D]").astype(int), north=True)
    assert number.tolist() == [0, 242, 242, 243, 364]
    assert season_date(243, north=True) == (3, 1)
    south = day_of_season(
        np.array(["2020-12-31"], "datetime64[D]").astype(int), north=False
    )
    assert south.tolist() == [364]


def test_ninth_part_of_nine_winters_is_the_earliest():
    # n = 9: the i-th earliest has probability i/10 (Weibull 1939), so 10 % is the
    # earliest itself: inside by that very evening.
    firsts = [100, 110, 120, 130, 140, 150, 160, 170, 180]
    made = nights([[d, 200] for d in firsts])
    assert move_in(made, 0.1).day == 100
    assert move_in(made, 0.5).day == 140
    assert move_in(made, 0.15).day == 105
    # The last harmful night is day 200 in all winters: out from the next evening.
    assert move_out(made, 0.1).day == 201


def by_rank(dates, risk):
    """The date of a risk, the i-th of n dates having i/(n + 1); None if not reached."""
    n, ordered = len(dates), sorted(dates)
    at = round(max(risk, 1 / (n + 1)) * (n + 1), 9)
    below = int(at)
    share = at - below
    if below > n or (below == n and share > 0):
        return None
    low = ordered[below - 1]
    value = low if share == 0 else low + share * (ordered[below] - low)
    return value if np.isfinite(value) else None


days = st.lists(st.integers(0, 364), max_size=30)
# No first harmful night on midsummer day itself, nor a last one on the day before it:
# such a winter is cold at any time of the year.
winter = st.one_of(st.none(), st.tuples(st.integers(1, 180), st.integers(181, 362)))


@settings(max_examples=80)
@given(st.lists(winter, min_size=3, max_size=25), st.floats(0.01, 0.9))
def test_dates_are_those_of_ranks_among_winters(winters, risk):
    made = nights([[] if w is None else list(w) for w in winters])
    first = [np.inf if w is None else w[0] for w in winters]
    last = [-np.inf if w is None else w[1] for w in winters]
    into, out = move_in(made, risk), move_out(made, risk)
    want = by_rank(first, risk)
    assert into.day == (None if want is None else int(np.floor(want + 0.5)))
    assert into.status == ("never" if want is None else "date")
    # Out from the evening after the last one.
    want = by_rank([-d for d in last], risk)
    assert out.day == (None if want is None else int(np.ceil(-want + 0.5)))
    assert into.winters == out.winters == len(winters)


def test_below_one_in_n_plus_one_the_smallest_risk_is_used_and_said():
    made = nights([[100 + i, 200 + i] for i in range(5)])
    into, out = move_in(made, 0.1), move_out(made, 0.1)
    # Five winters: 1 year in 6, the earliest first night and the latest last one.
    assert (into.day, out.day) == (100, 205)
    for date in (into, out):
        assert date.risk == pytest.approx(1 / 6)
        assert "1 year in 6" in date.why
        assert "with 5 winters on record no better promise" in date.why
    assert (into.earliest, into.latest) == (100, 104)
    enough = move_in(made, 0.2)
    assert enough.risk == 0.2
    assert "no better promise" not in enough.why


def test_a_winter_without_a_harmful_night_stays_in_n():
    # Climatography of the US No. 20 rule: where only a share q has the event, a
    # probability beyond q is never reached.
    made = nights([[150]] * 3 + [[]] * 6)
    assert move_in(made, 0.3).day == 150
    assert move_in(made, 0.35).status == "never"
    assert move_in(nights([[]] * 9), 0.1).status == "never"


def test_beyond_the_share_of_harmful_winters_only_long_cold_dates():
    # A harmful night in one winter of nine, but every winter has 60 cold nights.
    cold = nights([list(range(150, 210))] * 9)
    harmful = nights([[160]] + [[]] * 8)
    assert move_in(harmful, 0.2).status == "never"
    dates = both(cold, harmful)
    # The first 31 nights with more than 20 cold ones begin ten nights before them.
    assert (dates.move_in.day, dates.move_in.governed_by) == (140, "cold nights")
    # The last begin where 21 cold nights are left: day 189; out from the next.
    assert (dates.move_out.day, dates.move_out.governed_by) == (190, "cold nights")
    assert "most nights are below 10 °C" in in_units(dates.move_in.why, "metric")


@pytest.mark.parametrize("count", [1, 2])
def test_fewer_than_three_winters_give_no_date(count):
    date = move_in(nights([[150]] * count), 0.5)
    assert (date.day, date.status) == (None, "few")
    assert f"{count} winter" in date.why
    assert "at least 3 needed" in date.why


def test_unknown_autumns_do_not_date_a_winter():
    # All nights before the first harmful one unknown: the true first may be earlier.
    made = nights([[150]] * 10, unknown=[(0, d) for d in range(150)])
    # July to November are safe in nine years; a gap in them hides no harmful night.
    assert move_in(made, 0.2).winters == 10
    october = list(days_of(10))[:1]
    made = nights(
        [[150], *[[*october, 150]] * 9],
        unknown=[(0, d) for d in (*days_of(10), *days_of(11))],
    )
    # In October other years have one: 61 of the 150 nights before it are unknown.
    assert move_in(made, 0.2).winters == 9
    assert move_out(made, 0.2).winters == 10


def test_gaps_in_safe_months_remove_no_date_and_move_none():
    winters = [[120 + i, 220 - i] for i in range(6)]
    whole, summer = nights(winters), [*range(62), *range(300, 365)]
    for lost in (summer, [*days_of(8), *days_of(6), *days_of(4)]):
        gap = nights(winters, unknown=[(y, d) for y in (0, 2, 4) for d in lost])
        for date in (move_in, move_out):
            assert date(gap, 0.2) == date(whole, 0.2)


def test_a_month_is_shown_to_be_safe_only_by_years_that_know_it():
    """All years know Octobers by four nights: none of them a harmful one, but the gap
    of September to November may hide one."""
    gap = [*days_of(9), *list(days_of(10))[4:], *days_of(11)]
    made = nights([[160]] * 5, unknown=[(y, d) for y in range(5) for d in gap])
    assert move_in(made, 0.2).status == "few"
    # Three years that know them are enough, two are not.
    two = nights([[160]] * 5, unknown=[(y, d) for y in range(3) for d in gap])
    assert move_in(two, 0.2).status == "few"
    three = nights([[160]] * 6, unknown=[(y, d) for y in range(3) for d in gap])
    assert move_in(three, 0.2).winters == 6


def test_gaps_of_a_record_are_seen_alike():
    """A logger that stands still in August loses no date; one in autumn does."""
    cold: list[tuple[int | None, Any, float]]
    cold = [(None, days_of(m), 2.0) for m in (12, 1, 2)]
    cold += [(1, list(days_of(10))[20:22], 2.0)]
    lowest, made = record(5, cold=cold), plant(10.0, tolerated=5.0)
    want = judged(hours(lowest), made).dates
    august, autumn = lowest.copy(), lowest.copy()
    august[[1, 3], days_of(8).start : days_of(8).stop] = np.nan
    autumn[3, days_of(10).start : days_of(11).stop] = np.nan
    assert judged(hours(august), made).dates.move_in == want.move_in
    assert want.move_in.winters == 5
    assert judged(hours(autumn), made).dates.move_in.winters == 4


def test_members_that_agree_change_nothing():
    firsts = [90, 95, 101, 120, 130, 140, 141, 150, 160, 170]
    one = np.array(firsts, float)[:, None, None]
    many = np.repeat(one, 8, axis=2)
    # The i-th of n keeps its place among n m dates, at the middle of its members.
    for i, first in enumerate(firsts, start=1):
        assert quantiles(many, i / 11)[0] == pytest.approx(first)
        assert quantiles(one, i / 11)[0] == pytest.approx(first)


@settings(max_examples=40)
@given(
    st.lists(st.lists(st.integers(1, 360), min_size=3, max_size=3), min_size=3),
    st.floats(0.2, 0.7),
)
def test_pooled_members_have_the_stated_probabilities(dates, risk):
    """The j-th of n m dates has ((j - 1/2) / m + 1/2) / (n + 1)."""
    made = np.array(dates, float)
    n, m = made.shape
    place = [((j - 0.5) / m + 0.5) / (n + 1) for j in range(1, n * m + 1)]
    ordered = np.sort(made, axis=None)
    if not place[0] <= risk <= place[-1]:
        return
    got, winters = quantiles(made[:, None, :], risk)
    assert winters[0] == n
    assert got[0] == pytest.approx(np.interp(risk, place, ordered))


@settings(max_examples=60)
@given(
    st.lists(days, min_size=3, max_size=25), st.floats(0.01, 0.9), st.floats(0.01, 0.9)
)
def test_more_risk_never_moves_autumn_earlier_or_spring_later(winters, a, b):
    made = nights(winters)
    low, high = (both(made, made, (r, spring_risk(r))) for r in sorted((a, b)))
    if low.move_in.day is not None and high.move_in.day is not None:
        assert high.move_in.day >= low.move_in.day
    if low.move_out.day is not None and high.move_out.day is not None:
        assert high.move_out.day <= low.move_out.day
    # Nor does more risk make a date out of none.
    assert not (low.move_in.status == "never" and high.move_in.day is not None)


def test_risk_of_spring_is_twice_that_of_autumn_up_to_a_quarter():
    for autumn, spring in ((0.05, 0.1), (0.1, 0.2), (0.2, 0.25), (0.25, 0.25)):
        assert spring_risk(autumn) == pytest.approx(spring)
    assert spring_risk(0.4) == 0.4  # never less than in autumn
    assert spring_risk(0.1, 0.5) == 0.5


def windows(cold):
    """Medians over years and members of cold nights in 31, by a plain loop."""
    flat, out = cold.reshape(-1, cold.shape[2]), {}
    for day in range(365):
        counts = []
        for year in range(len(cold)):
            first = year * 365 + day
            if first + 31 <= len(flat):
                counts += [
                    int(flat[first : first + 31, m].sum()) for m in range(flat.shape[1])
                ]
        out[day] = float(np.median(counts))
    return out


@pytest.mark.parametrize("members", [1, 3])
@pytest.mark.parametrize("seed", range(4))
def test_long_cold_is_that_of_a_plain_loop(seed, members):
    rng = np.random.default_rng(seed)
    day, middle = np.arange(365), rng.integers(150, 215)
    chance = np.exp(-(((day - middle) / rng.integers(30, 90)) ** 2))
    cold = rng.random((6, 365, members)) < chance[None, :, None]
    made = nights(
        [
            [np.flatnonzero(y[:, m]) for m in range(members)]
            if members > 1
            else np.flatnonzero(y[:, 0])
            for y in cold
        ],
        members=members,
    )
    most = [d for d, count in windows(cold).items() if count > 20]
    got = LongCold.of(made)
    assert most
    assert (got.begins[0], got.ends[0]) == (most[0], most[-1] + 1)


@pytest.mark.parametrize("seed", range(6))
def test_the_earlier_condition_brings_in_and_the_later_lets_out(seed):
    rng = np.random.default_rng(100 + seed)
    start, stop = rng.integers(100, 190), rng.integers(200, 300)
    cold = nights([range(start, stop)] * 6)
    harmful = nights(
        [[rng.integers(60, 190), rng.integers(191, 320)] for _ in range(6)]
    )
    dates, long_cold = both(cold, harmful), LongCold.of(cold)
    a, b = move_in(harmful, 0.2).day, long_cold.begins[0]
    assert dates.move_in.day == min(a, b)
    assert dates.move_in.governed_by == ("cold nights" if b <= a else "harmful nights")
    a, b = move_out(harmful, 0.25).day, long_cold.ends[0]
    assert dates.move_out.day == max(a, b)
    assert dates.move_out.governed_by == ("cold nights" if b >= a else "harmful nights")


def test_where_no_month_is_indoors_there_are_days_to_watch():
    harmful = nights([[170 + i, 200 - i] for i in range(6)])
    cold = nights([range(165, 205)] * 6)
    dates = both(cold, harmful, (1 / 7, 1 / 7), any_month_in=False)
    assert (dates.move_in.status, dates.move_out.status) == ("never", "never")
    assert dates.move_in.why == "no month is cold enough to keep it indoors"
    # Watched from the earliest harmful night until after the latest.
    assert (dates.watch_from.day, dates.watch_until.day) == (170, 201)
    indoors = both(cold, harmful, (1 / 7, 1 / 7))
    assert indoors.watch_from is None
    assert indoors.watch_until is None
    # One winter in six has one: rarer than the accepted 1 in 4, nothing to watch.
    rare = nights([[180], *[[]] * 5])
    dates = both(cold, rare, (0.25, 0.25), any_month_in=False)
    assert dates.watch_from is None
    assert dates.watch_until is None


def test_usual_cold_nights_are_those_of_the_median_winter():
    cold = nights([[90, 240], [100, 250], [110, 260], [120, 270], [130, 280]])
    dates = both(cold, nights([[]] * 5))
    assert (dates.usual_first_cold, dates.usual_last_cold) == (110, 260)
    # Winters without one count: half of six have none, so no usual date.
    dates = both(nights([[90, 240]] * 3 + [[]] * 3), nights([[]] * 6))
    assert (dates.usual_first_cold, dates.usual_last_cold) == (None, None)


def test_cold_at_any_time_of_the_year_is_no_date():
    every = nights([range(365)] * 5)
    dates = both(every, every)
    assert (dates.move_in.status, dates.move_out.status) == ("always", "always")
    assert dates.indoors == (0.0, 365.0)


def test_cold_nights_of_a_heated_room_make_no_date():
    """A sill stays below the 25 °C that the plant prefers all year, and falls below
    the 14 °C that it tolerates in a January of -20 °C alone."""
    january = days_of(1)
    lowest = record(4, mild=12.0, cold=[(None, january, -20.0)])
    highest = np.where(lowest == -20.0, -10.0, 24.0)
    highest[:, january.start] = 24.0  # the morning after a mild night
    weather = hours(lowest, highest=highest)
    judgement = judged(weather, plant(25.0, tolerated=14.0), "window-sill")
    assert [m for m, row in judgement.months.items() if row.state == "in"] == [1]
    assert all(row.cold_nights >= 28 for row in judgement.months.values())
    dates = judgement.dates
    assert (dates.move_in.day, dates.move_out.day) == (january.start, january.stop)
    assert dates.move_in.governed_by == dates.move_out.governed_by == "harmful nights"


def test_southern_dates_run_from_january():
    made = nights([[180, 190]] * 9, north=False)
    assert season_date(move_in(made, 0.2).day, north=False) == (6, 30)
    assert season_date(move_out(made, 0.2).day, north=False) == (7, 11)


@pytest.mark.parametrize("seed", range(5))
def test_months_between_the_dates_are_shown_indoors(seed):
    """Harmful nights in random months; a month with a date is divided by it."""
    rng = np.random.default_rng(seed)
    lowest = record(5, cold=[(None, days_of(1), 2.0)])
    for year in range(5):
        lowest[year, rng.integers(60, 330, 4)] = 2.0
    judgement = judged(hours(lowest), plant(10.0, tolerated=5.0))
    into, out = judgement.dates.move_in.day, judgement.dates.move_out.day
    assert into < days_of(1).start < days_of(1).stop <= out
    for month, state in judgement.shown.items():
        inside = set(days_of(month)) & set(range(into, out))
        assert (state == "in") == bool(inside)
    for day, words in ((into, "in from"), (out, "in until")):
        month, of_month = season_date(day, north=True)
        note = Viewer().text(judgement.month_notes[month])
        assert note.startswith(f"{words} {of_month} "), note
