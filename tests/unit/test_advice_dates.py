"""Month states and dates by their risk, on nights made by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climrisk.advice.dates import move_in, move_out, quantile
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import Block, indoor_block, month_states, reconciled
from climrisk.seasons import day_of_season, season_date


def nights(cold_days, *, members=1, north=True, unknown=()):
    """ColdNights of winters given by their cold days of the growing year."""
    n = len(cold_days)
    year = np.repeat(np.arange(2000, 2000 + n), 365)
    day = np.tile(np.arange(365), n)
    month = np.array([season_date(int(d), north=north)[0] for d in day])
    cold = np.zeros((365 * n, members), dtype=bool)
    for i, days in enumerate(cold_days):
        for m in range(members):
            chosen = days[m] if members > 1 else days
            cold[i * 365 + np.asarray(chosen, int), m] = True
    lost = np.zeros_like(cold)
    for i, d in unknown:
        lost[i * 365 + d] = ~cold[i * 365 + d]
    return ColdNights(cold, lost, month, year, day, np.unique(year), north)


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
    # The last cold night is day 200 in all winters: out from the next evening.
    assert move_out(made, 0.1).day == 201


def test_below_one_in_n_plus_one_there_is_no_date():
    made = nights([[100 + i] for i in range(8)])
    told = move_in(made, 0.1)
    assert told.day is None
    assert told.status == "too rare"
    assert "1/9" in told.why
    assert (told.earliest, told.latest) == (100, 107)


def test_a_winter_without_a_cold_night_stays_in_n():
    # Climatography of the US No. 20 rule: where only a share q has the event, a
    # probability beyond q is never reached.
    made = nights([[150]] * 3 + [[]] * 6)
    assert move_in(made, 0.3).day == 150
    assert move_in(made, 0.35).status == "never"
    assert move_in(nights([[]] * 9), 0.1).status == "never"


def test_fewer_than_three_winters_give_no_date():
    for count, words in ((1, "even odds"), (2, "one in three")):
        told = move_in(nights([[150]] * count), 0.5)
        assert told.status == "few"
        assert words in told.why


def test_unknown_autumns_do_not_date_a_winter():
    # All nights before the first cold one unknown: the true first may be earlier.
    made = nights([[150]] * 10, unknown=[(0, d) for d in range(150)])
    assert move_in(made, 0.2).winters == 9
    assert move_out(made, 0.2).winters == 10


def test_members_that_agree_change_nothing():
    firsts = [90, 95, 101, 120, 130, 140, 141, 150, 160, 170]
    one = np.array(firsts, float)[:, None]
    for risk in (0.1, 0.25, 0.5, 0.8):
        assert quantile(one, risk) == pytest.approx(
            quantile(np.repeat(one, 8, axis=1), risk), abs=8
        )
    middle = quantile(np.repeat(one, 8, axis=1), 0.5)
    assert middle == pytest.approx(quantile(one, 0.5))


days = st.lists(st.integers(0, 364), max_size=30)


@settings(deadline=None, max_examples=60)
@given(
    st.lists(days, min_size=3, max_size=25), st.floats(0.01, 0.9), st.floats(0.01, 0.9)
)
def test_more_risk_never_moves_autumn_earlier_or_spring_later(winters, a, b):
    made = nights(winters)
    low, high = sorted((a, b))
    into = move_in(made, low), move_in(made, high)
    out = move_out(made, low), move_out(made, high)
    if into[0].day is not None and into[1].day is not None:
        assert into[1].day >= into[0].day
    if out[0].day is not None and out[1].day is not None:
        assert out[1].day <= out[0].day


@settings(deadline=None, max_examples=60)
@given(st.lists(days, min_size=3, max_size=25), st.floats(0.05, 0.6))
def test_months_and_dates_never_contradict(winters, risk):
    made = nights(winters)
    into, out = move_in(made, risk), move_out(made, risk)
    months = reconciled(month_states(made, risk), into, out, north=True)
    start = 0
    for month, row in months.items():
        length = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)[month - 1]
        inside = (
            into.day is not None
            and out.day is not None
            and start + length > into.day
            and start < out.day
        )
        if inside:
            assert row.state != "out"
        start += length


def test_month_states_by_share_of_years():
    # December (days 153-183) cold in 10 of 20 years, November in 4, October in 2.
    winters = []
    for i in range(20):
        days = [160] if i < 10 else []
        days += [130] if i < 4 else []
        days += [100] if i < 2 else []
        winters.append(days)
    months = month_states(nights(winters), 0.1)
    assert months[12].state == "in"
    assert months[11].state == "unsure"
    assert months[10].state == "out"
    assert months[10].share == pytest.approx(0.1)
    assert month_states(nights(winters), 0.2)[11].state == "out"


def test_months_known_in_fewer_than_three_years_are_unknown():
    assert {m.state for m in month_states(nights([[], []]), 0.1).values()} == {
        "unknown"
    }
    lost = [(i, d) for i in range(3) for d in range(153, 184)]
    months = month_states(nights([[], [], [], [], []], unknown=lost), 0.1)
    assert months[12].state == "unknown"
    assert months[1].state == "out"


def test_a_block_may_cross_the_year_end_but_not_be_two():
    months = month_states(nights([[130, 170, 200]] * 5), 0.1)
    assert indoor_block(months) == Block(3, 0, together=True)
    months = month_states(nights([[10, 200]] * 5), 0.1)
    assert indoor_block(months) == Block(2, 0, together=False)
    none = indoor_block(month_states(nights([[]] * 5), 0.1))
    assert none == Block(0, 0, together=True)


def test_spells_merge_what_lies_close():
    made = nights([[100, 101, 103, 120, 121, 160]])
    count, longest = made.spells()
    assert count[0, 0] == 3
    assert longest[0, 0] == 4


def test_southern_dates_run_from_january():
    made = nights([[180, 190]] * 9, north=False)
    assert season_date(move_in(made, 0.2).day, north=False) == (6, 30)
    assert season_date(move_out(made, 0.2).day, north=False) == (7, 11)
