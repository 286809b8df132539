"""The promise: the true risk of promised dates on many fresh winters.

The true risk must lie in the 99 % binomial interval around the promised one, on average
over many records; the README's table is what a run gives.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.published.calibration import (
    RISKS,
    WINTERS,
    as_measured,
    forward,
    real,
    spot_drawn,
    table,
    warming,
)

README = Path(__file__).parents[2] / "README.md"


@pytest.mark.parametrize("risk", RISKS)
@pytest.mark.parametrize("winters", WINTERS)
def test_as_measured_dates_keep_their_promise(winters, risk):
    kept = as_measured(risk, winters)
    assert kept.holds, kept


@pytest.mark.parametrize("risk", RISKS)
@pytest.mark.parametrize("winters", [10, 30])
def test_dates_keep_their_promise_where_the_spot_is_drawn_from_its_prior(winters, risk):
    kept = spot_drawn(risk, winters)
    assert kept.holds, kept


@pytest.mark.parametrize("risk", RISKS)
def test_dates_from_earlier_winters_only_keep_their_promise_on_the_next(risk):
    kept = forward(risk)
    assert kept.holds, kept


def test_dates_of_a_real_record_keep_even_odds_within_what_ten_years_can_tell():
    """Melbourne 1981 to 1990; seven years tried, so the interval is wide."""
    kept = real()
    assert kept.holds, kept


@pytest.mark.parametrize("risk", RISKS)
def test_a_warming_climate_leaves_dates_too_cautious(risk):
    """The bias is stated, not hidden: 0.5 K a decade over 30 winters."""
    assert -0.25 < warming(risk) < 0


def test_a_promise_that_is_broken_is_seen():
    """The interval is no net without a bottom: a date of another risk falls through."""
    kept = as_measured(0.25, 30)
    assert not (kept.low <= 0.10 <= kept.high)
    assert not (kept.low <= 0.50 <= kept.high)


def test_the_table_of_the_readme_is_what_a_run_gives():
    told = README.read_text("utf-8")
    for line in table().splitlines():
        assert line in told
