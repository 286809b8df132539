"""The coming nights: made nights with a known answer."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from climrisk.commands.calendar.next_weeks import COMING_NIGHTS, coming
from climrisk.core.calendar import day_of_season
from climrisk.exposure.nights import Nights


def nights(years=10, cases=1, north=True):
    """Return ten years whose night minimum is the day of the growing year over ten."""
    first = (date(2000, 7 if north else 1, 1) - date(1970, 1, 1)).days
    evening = first + np.arange(365 * years)
    day = day_of_season(evening, north=north)
    lowest = np.repeat((day / 10.0)[:, None], cases, axis=1)
    return Nights(
        evening=evening,
        month=np.zeros(len(evening), dtype=np.int64),
        growing_year=evening // 366,
        day_of_season=day,
        lowest_c=lowest,
        day_highest_c=lowest + 5,
        valid=np.ones(lowest.shape, dtype=bool),
        north=north,
    )


@pytest.mark.parametrize("north", [True, False])
def test_the_window_begins_today_and_holds_two_weeks(north):
    today = date(2026, 9, 9) if north else date(2026, 3, 12)
    start = 70  # days after 1 July, or after 1 January
    ahead = coming(nights(north=north), today, 5.0)
    days = np.repeat(np.arange(start, start + COMING_NIGHTS), 10) / 10.0
    assert ahead.low_c == pytest.approx(np.percentile(days, 10), abs=0.051)
    assert ahead.mid_c == pytest.approx(np.median(days), abs=0.051)
    assert ahead.coldest_c == start / 10
    assert ahead.margin_k == pytest.approx(ahead.low_c - 5.0)


def test_the_window_runs_over_the_end_of_the_growing_year():
    ahead = coming(nights(), date(2026, 6, 28), 0.0)
    assert ahead.coldest_c == 0.0
    assert ahead.mid_c < 10


def test_nights_that_do_not_count_are_left_out_and_none_is_unknown():
    made = nights()
    valid = made.valid.copy()
    valid[made.day_of_season < 77] = False
    from dataclasses import replace

    ahead = coming(replace(made, valid=valid), date(2026, 9, 9), 5.0)
    assert ahead.coldest_c == 7.7
    none = coming(replace(made, valid=np.zeros_like(valid)), date(2026, 9, 9), 5.0)
    assert none.margin_k is None
    assert none.years == 0
