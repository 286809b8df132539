"""Dates and sums against the methods that climate services publish."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import norm

from climrisk.advice.dates import move_in, move_out
from climrisk.core.calendar import Seasons
from climrisk.exposure.hours import expose
from tests.made_nights import nights
from tests.published.rows import ROWS, expected, inputs

_JANUARY_FIRST = 184  # days of the growing year before 1 January


def winters_by_quantile(share, mean_doy, sd_d, count=2000):
    """Winters whose last harmful nights stand at the quantiles of a normal law.

    A share of them has one; the rest have none.
    """
    with_one = round(share * count)
    ranks = (np.arange(with_one) + 0.5) / with_one
    days = np.round(norm.ppf(ranks, mean_doy - 1, sd_d)).astype(int) + _JANUARY_FIRST
    return [[int(d)] for d in days] + [[] for _ in range(count - with_one)]


def test_last_cold_night_of_a_mixed_climate():
    # Climatography of the US No. 20, Supp. 1: the date exceeded with probability p
    # where a share q of years has a freeze at all is that of p/q among those years.
    row = inputs("CL07")
    made = nights(winters_by_quantile(row["q"], row["mean_doy"], row["sd_d"]))
    move = move_out(made, row["p"])
    # Out from the evening after the last harmful night; dates are whole days.
    last_doy = move.day - 1 - _JANUARY_FIRST + 1
    assert last_doy == pytest.approx(expected("CL07"), abs=1)


def test_a_probability_beyond_the_share_of_cold_years_is_never_reached():
    # The same table leaves the cell empty; our risk is capped at 0.9, so q = 0.5.
    assert ROWS["CL08"]["expected"] == "none"
    made = nights(winters_by_quantile(0.5, 120, 12, count=100))
    for move in (move_in(made, 0.6), move_out(made, 0.6)):
        assert move.day is None
        assert move.status == "never"
        assert move.winters == 100


def test_degree_hours_are_a_step_sum():
    # Definition: sum of max(0, threshold - T) times one hour.
    part = ROWS["CL10"]["inputs"].split(";")[0].removeprefix("T_C=")
    temps = [float(t) for t in part.split()]
    time = np.datetime64("2020-01-10T00:00", "m") + 60 * np.arange(len(temps))
    seasons = Seasons.of(time, zone="UTC", latitude_deg=45.0)
    dark = np.ones(len(temps), dtype=bool)
    swept = expose(np.array(temps)[:, None], seasons, dark, np.array([0.0]))
    assert swept.degree_hours.sum() == pytest.approx(expected("CL10"))
