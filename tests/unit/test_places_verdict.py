"""Verdicts and heat of many places are those of each place, counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.advice.heat import AllowedHeat, PlacesHeat, just_above
from climrisk.advice.months import STATES, Month, indoor_block, indoor_blocks
from climrisk.advice.places import VERDICTS, advise_places
from climrisk.core.calendar import Seasons, season_months
from climrisk.exposure.hours import expose

YEARS, PLACES = 5, 48
PREFERRED_C, TOLERATED_C = 10.0, 7.0
LIMITS = (
    AllowedHeat("ceiling", 33.1, 200.0),
    AllowedHeat("advised_top", 30.0, 600.0),
    AllowedHeat("warm_night", 21.0, 60.0),
)


def stay_by_hand(months):
    """Walk round the year: months of the longest stay, in order, and if it is alone."""
    order = list(months)
    states = [months[m].state for m in order]
    inside = [
        s == "in"
        or (s == "watch" and states[i - 1] == "in" and states[(i + 1) % 12] == "in")
        for i, s in enumerate(states)
    ]
    if all(inside):
        return tuple(order), True
    runs: list[list[int]] = []
    start = inside.index(False)
    for i in range(start, start + 12):
        at = i % 12
        if inside[at]:
            if not inside[at - 1]:
                runs.append([])
            runs[-1].append(order[at])
    return tuple(max(runs, key=len, default=())), len(runs) < 2


@pytest.mark.parametrize("north", [True, False])
def test_stays_indoors_of_many_places_are_those_of_each(north):
    rng = np.random.default_rng(3)
    share = rng.dirichlet([1, 1, 1], 3000)
    state = np.array([rng.choice(3, 12, p=p) for p in share], np.int8).T
    block, together = indoor_blocks(state, north=north)
    stays = set()
    for i in range(state.shape[1]):
        months = {m: Month(STATES[state[m - 1, i]]) for m in season_months(north=north)}
        want, alone = stay_by_hand(months)
        assert set(np.flatnonzero(block[:, i]) + 1) == set(want)
        assert together[i] == alone
        found = indoor_block(months)
        assert (found.months, found.together) == (want, alone)
        stays.add((len(want), alone))
    assert {0, 1, 6, 12} <= {length for length, _ in stays}
    assert {True, False} == {one for _, one in stays}


@pytest.fixture(scope="module")
def made():
    """Hours of places from arctic to hot, five whole growing years; one with gaps."""
    rng = np.random.default_rng(9)
    time = np.arange("2010-07-01", f"{2010 + YEARS}-07-01", 60, dtype="datetime64[m]")
    day = np.arange(len(time)) / 24
    season = np.cos(2 * np.pi * (day - 18) / 365.25)[:, None]
    mean, swing = np.linspace(-4, 30, 8), np.array([2, 5, 8, 11, 14, 17])
    mean, swing = (x.ravel() for x in np.meshgrid(mean, swing))
    air = mean + swing * season - 4 * np.cos(2 * np.pi * (day - 3 / 24))[:, None]
    noise = rng.normal(0, 1.5, (len(time) // 24, PLACES))
    air = (air + np.repeat(noise, 24, axis=0)).astype(np.float32)
    air[8000:9500, 40] = np.nan
    air[: 3 * 8760, 41] = np.nan
    dark = (np.arange(len(time)) % 24 < 6) | (np.arange(len(time)) % 24 >= 18)
    return time, air, dark


def swept(made):
    time, air, dark = made
    seasons = Seasons.of(time, zone="Etc/GMT", latitude_deg=45.0)
    limits = [TOLERATED_C, PREFERRED_C, *(just_above(h.value_c) for h in LIMITS[:2])]
    return expose(air, seasons, dark, np.array(limits))


def hand_counts(made, limit, months):
    """Return hours or nights above a limit a growing year, shape (year, place)."""
    time, air, _ = made
    if limit.kind == "warm_night":
        # Noon to noon, dated by the evening: the half nights at both ends left out.
        time, air = time[12:-12:24], np.nanmin(air[12:-12].reshape(-1, 24, PLACES), 1)
    month = time.astype("datetime64[M]").astype(int) % 12 + 1
    year = time.astype("datetime64[Y]").astype(int) + 1970 - (month < 7)
    rows = np.isin(month, list(months))
    return np.array(
        [(air[rows & (year == y)] > limit.value_c).sum(axis=0) for y in np.unique(year)]
    )


@pytest.mark.filterwarnings("ignore:All-NaN")
def test_heat_is_counted_in_the_median_whole_year(made):
    air = swept(made)
    for limit in LIMITS:
        heat = PlacesHeat.of(air, limit)
        per_year = hand_counts(made, limit, range(1, 13)).astype(float)
        want = np.median(per_year, axis=0)
        want[41] = np.median(per_year[3:, 41])  # its first three years are unknown
        got = heat.typical()
        np.testing.assert_array_equal(got, want)
        assert got.max() > limit.most
        assert got.min() == 0
        # 1,500 unknown hours leave a year known well enough.
        assert heat.whole[-YEARS:, 40].all()
        assert heat.whole[-YEARS:, 41].tolist() == [False, False, False, True, True]


@pytest.mark.filterwarnings("ignore:All-NaN")
def test_verdicts_of_places_follow_from_months_and_heat(made):
    air = swept(made)
    heat = [PlacesHeat.of(air, limit) for limit in LIMITS]
    limits = PREFERRED_C, TOLERATED_C
    found = advise_places(air.nights, limits, (0.2, 0.25), heat=heat)
    seen = set()
    for i in range(PLACES):
        states = {m: STATES[found.month_state[m - 1, i]] for m in range(1, 13)}
        block = indoor_block({m: Month(states[m]) for m in season_months(north=True)})
        free = set(range(1, 13)) - set(block.months)
        years = slice(3, None) if i == 41 else slice(None)
        hot = any(
            np.median(hand_counts(made, h, free)[years, i]) > h.most for h in LIMITS
        )
        if found.winters[i] < 3 or "unknown" in states.values():
            want = "cannot say"
        elif not free or (not hot and (len(block.months) > 10 or not block.together)):
            want = "too cold"
        elif hot:
            want = "too hot"
        elif len(block.months) > 6:
            want = "in 7 to 10 months"
        elif block.months:
            want = "in up to 6 months"
        else:
            want = "watch" if "watch" in states.values() else "out all year"
        assert VERDICTS[found.verdict[i]] == want, (i, states)
        seen.add(want)
    assert seen == set(VERDICTS)


def test_a_heated_room_is_left_only_for_harm(made):
    """Most nights are cold there, none harmful: more heat mends it."""
    nights = swept(made).nights
    mild = np.array([i for i in range(PLACES) if i not in (40, 41)])
    limits = PREFERRED_C, -60.0
    outdoors = advise_places(nights, limits, (0.2, 0.25))
    room = advise_places(nights, limits, (0.2, 0.25), heated=True)
    cold = (outdoors.month_state == STATES.index("in"))[:, mild]
    assert cold.any()
    assert (room.month_state[:, mild][cold] == STATES.index("watch")).all()
    same = outdoors.month_state[:, mild][~cold]
    np.testing.assert_array_equal(room.month_state[:, mild][~cold], same)
    assert np.isnan(room.move_in_day).all()
    assert np.isnan(room.move_out_day).all()


def test_months_between_the_dates_are_shown_indoors(made):
    """A month that holds a day between them, as a map shows it."""
    nights = swept(made).nights
    found = advise_places(nights, (PREFERRED_C, TOLERATED_C), (0.2, 0.25))
    starts = np.cumsum([0, 31, 31, 30, 31, 30, 31, 31, 28, 31, 30, 31])
    more = 0
    for i in np.flatnonzero(np.isfinite(found.move_in_day + found.move_out_day)):
        inside = np.arange(365.0)
        inside = (inside >= found.move_in_day[i]) & (inside < found.move_out_day[i])
        assert found.months_indoors[i] == pytest.approx(inside.sum() * 12 / 365)
        for month, first, stop in zip(
            season_months(north=True), starts, [*starts[1:], 365], strict=True
        ):
            state = found.month_state[month - 1, i]
            if inside[first:stop].any() and STATES[state] != "unknown":
                more += STATES[state] != "in"
                state = STATES.index("in")
            assert found.shown[month - 1, i] == state
    assert more > 10
