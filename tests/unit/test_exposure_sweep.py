"""The pass against plain loops, published step sums and pandas on invented weather."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climrisk.core.calendar import Seasons
from climrisk.exposure.hours import expose
from climrisk.physics.solar import night_hours, sun_path


def calendar(hours, start="2019-07-01T00:00", latitude=44.0, zone="Etc/GMT"):
    time = np.datetime64(start, "m") + np.arange(hours) * np.timedelta64(60, "m")
    seasons = Seasons.of(time, zone=zone, latitude_deg=latitude)
    return seasons, night_hours(sun_path(time, latitude, 0.0))


def sweep(values, thresholds, **options):
    values = np.asarray(values, dtype=float)
    seasons, dark = calendar(len(values))
    column = values.reshape(len(values), -1)
    return expose(column, seasons, dark, np.asarray(thresholds, float), **options)


def test_degree_hours_are_a_step_sum():
    # Definition: sum max(0, threshold - T) dt; 5 3 1 -1 -2 0 2 below 0 gives 3 K h.
    out = sweep([5, 3, 1, -1, -2, 0, 2], [0.0])
    assert out.degree_hours.sum() == 3.0
    assert out.total_hours[0, 0] == 2


def test_below_is_strict_unless_asked():
    assert sweep([10.0, 9.0, 10.0], [10.0]).total_hours[0, 0] == 1
    assert sweep([10.0, 9.0, 10.0], [10.0], inclusive=True).total_hours[0, 0] == 3


def test_unknown_hours_neither_join_nor_end_a_run():
    x = [5, 5, np.nan, 5, 20, 5, np.nan, np.nan, 20]
    out = sweep(x, [10.0])
    assert out.longest_run_hours[:, 0, 0].tolist() == [2, 3, 4]
    assert out.total_unknown[0] == 3
    assert out.total_hours[0, 0] == 4


@st.composite
def series(draw):
    n = draw(st.integers(30, 200))
    known = st.integers(-50, 250).map(lambda i: i / 10)
    return np.array(
        draw(st.lists(st.one_of(known, st.just(np.nan)), min_size=n, max_size=n))
    )


@settings(deadline=None, max_examples=60)
@given(series(), st.sampled_from([0.0, 5.0, 10.0]))
def test_equals_a_plain_loop(x, limit):
    out = sweep(x, [limit])
    below = x < limit
    assert out.total_hours[0, 0] == below.sum()
    assert out.total_unknown[0] == np.isnan(x).sum()
    depth = np.where(below, limit - x, 0).sum()
    assert out.degree_hours.sum() == pytest.approx(depth, rel=1e-5, abs=1e-3)
    for row, member in ((0, below), (2, below | np.isnan(x))):
        best = run = 0
        for inside in member:
            run = run + 1 if inside else 0
            best = max(best, run)
        assert out.longest_run_hours[row, 0, 0] == best


@settings(deadline=None, max_examples=30)
@given(series(), st.floats(0, 10))
def test_colder_weather_never_lowers_the_hours_below(x, colder):
    warm, cold = sweep(x, [8.0]), sweep(x - colder, [8.0])
    assert cold.total_hours[0, 0] >= warm.total_hours[0, 0]
    assert cold.longest_run_hours[1, 0, 0] >= warm.longest_run_hours[1, 0, 0]


def test_many_cases_equal_each_alone_and_single_precision_too():
    rng = np.random.default_rng(1)
    x = np.round(rng.normal(9, 6, (24 * 400, 7)), 1)
    x[rng.random(x.shape) < 0.02] = np.nan
    together = sweep(x, [5.0, 10.0])
    for case in range(7):
        alone = sweep(x[:, case], [5.0, 10.0])
        assert np.array_equal(together.hours[..., case], alone.hours[..., 0])
        assert np.array_equal(
            together.longest_run_hours[..., case], alone.longest_run_hours[..., 0]
        )
    seasons, dark = calendar(len(x))
    single = expose(x.astype(np.float32), seasons, dark, np.array([5.0, 10.0]))
    assert np.array_equal(single.hours, together.hours)


def test_months_and_years_equal_pandas():
    rng = np.random.default_rng(2)
    n = 24 * 1100
    x = np.round(
        12 - 8 * np.cos(2 * np.pi * np.arange(n) / 8766) + rng.normal(0, 4, n), 1
    )
    out = sweep(x, [10.0])
    stamps = pd.date_range("2019-07-01", periods=n, freq="h")
    frame = pd.Series(x < 10, index=stamps)
    for month, hours in frame.groupby(stamps.month).sum().items():
        assert out.hours[:, month - 1, 0, 0].sum() == hours
    year = stamps.year - (stamps.month < 7)
    for index, hours in enumerate(frame.groupby(year).sum()):
        assert out.hours[index, :, 0, 0].sum() == hours


def test_a_night_is_noon_to_noon_dated_by_its_evening():
    x = np.full(24 * 6, 20.0)
    x[24 + 23], x[48 + 3] = 5.0, 4.0  # before and after midnight of one night
    out = sweep(x, [10.0])
    cold, lost = out.nights.below(10.0)
    assert cold[:, 0].sum() == 1
    evening = out.nights.evening[np.flatnonzero(cold[:, 0])[0]]
    assert np.datetime64(int(evening), "D") == np.datetime64("2019-07-02")
    assert out.longest_run_nights(0)[:, 0].tolist() == [1, 1, 1]
    assert not lost[1:-1].any()


def test_a_night_needs_four_fifths_of_its_dark_hours():
    seasons, dark = calendar(24 * 6)
    rows = np.flatnonzero(dark & (seasons.night == seasons.night[60]))
    for lost_hours, counts in ((len(rows) // 5, True), (len(rows) // 5 + 1, False)):
        x = np.full(24 * 6, 20.0)
        x[rows[:lost_hours]] = np.nan
        out = sweep(x, [10.0])
        row = int(seasons.night[60] - out.nights.evening[0])
        assert out.nights.valid[row, 0] == counts
        assert out.nights.below(10.0)[1][row, 0] != counts


def test_one_known_cold_hour_makes_an_incomplete_night_cold():
    seasons, _ = calendar(24 * 6)
    rows = np.flatnonzero(seasons.night == seasons.night[60])
    x = np.full(24 * 6, 20.0)
    x[rows] = np.nan
    x[rows[10]] = 3.0
    out = sweep(x, [10.0])
    cold, lost = out.nights.below(10.0)
    row = int(seasons.night[60] - out.nights.evening[0])
    assert cold[row, 0]
    assert not lost[row, 0]


def test_night_drop_is_day_maximum_minus_the_following_lowest():
    x = np.full(24 * 4, 15.0)
    x[24 + 14], x[48 + 5] = 25.0, 8.0
    out = sweep(x, [0.0])
    row = int(np.datetime64("2019-07-02").astype(int) - out.nights.evening[0])
    assert out.nights.drop_k[row, 0] == 17.0


def test_unknown_nights_in_runs_of_nights():
    x = np.full(24 * 9, 20.0)
    for day in (1, 2, 4, 5):
        x[24 * day + 22] = 5.0
    x[24 * 3 + 12 : 24 * 4 + 12] = np.nan  # the night of day 3
    out = sweep(x, [10.0])
    assert out.longest_run_nights(0)[:, 0].tolist() == [2, 4, 5]


def test_winters_count_with_four_fifths_of_their_nights():
    n = 24 * 366
    for gap_days, counts in ((25, True), (40, False)):
        x = np.full(n, 12.0)
        start = 24 * 153  # 1 December
        x[start : start + 24 * gap_days] = np.nan
        assert sweep(x, [10.0]).nights.winters[2019][0] == counts
