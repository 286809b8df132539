"""Trend and break against scipy, published formulas and their false alarms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from climrisk.exposure.trend import drift, mann_kendall_p, pettitt, theil_sen

YEARS = np.arange(1991, 2021)


@pytest.fixture
def rng():
    return np.random.default_rng(11)


def test_slope_is_that_of_scipy(rng):
    for _ in range(20):
        x = rng.normal(0, 1, 30) + 0.05 * np.arange(30)
        expected = stats.theilslopes(x, YEARS).slope
        assert theil_sen(x, YEARS.astype(float)) == pytest.approx(expected, rel=1e-12)


def test_order_is_that_of_kendalls_tau(rng):
    # scipy's asymptotic p has no correction for continuity: a little lower.
    for _ in range(20):
        x = np.round(rng.normal(0, 1, 30) + 0.03 * np.arange(30), 1)
        expected = stats.kendalltau(np.arange(30), x, method="asymptotic").pvalue
        assert mann_kendall_p(x) == pytest.approx(expected, abs=0.02)
        assert mann_kendall_p(x) >= expected - 1e-12


def test_no_order_in_equal_values():
    assert mann_kendall_p(np.ones(20)) == 1.0


def test_pettitt_by_its_own_definition(rng):
    # Pettitt 1979: U(t) = sum over i <= t < j of sign(x_i - x_j), K = max |U|.
    x = rng.normal(0, 1, 25)
    x[12:] += 2.5
    u = [
        sum(np.sign(x[i] - x[j]) for i in range(t) for j in range(t, 25))
        for t in range(1, 25)
    ]
    k = max(abs(v) for v in u)
    at, p = pettitt(x)
    assert at == 12
    assert p == pytest.approx(2 * math.exp(-6 * k**2 / (25**3 + 25**2)))
    assert p < 0.01


def test_false_alarms_are_no_more_than_said(rng):
    # Of pure noise at most 5 % is called a break or a trend at 5 %; the formula of
    # Pettitt is known to be cautious.
    drifts = [drift(rng.normal(0, 1, 30), YEARS) for _ in range(1500)]
    breaks = np.mean([t.p_break < 0.05 for t in drifts])
    trends = np.mean([t.p_trend < 0.05 for t in drifts])
    sd = math.sqrt(0.05 * 0.95 / 1500)
    assert breaks < 0.05 + 3 * sd
    assert abs(trends - 0.05) < 4 * sd


def test_a_moved_station_is_a_break_and_warming_is_none(rng):
    broken, warmed = [], []
    for _ in range(200):
        moved = rng.normal(0, 0.8, 30)
        moved[18:] += 2.0
        broken.append(drift(moved, YEARS))
        warming = rng.normal(0, 0.5, 30) + 0.05 * np.arange(30)
        warmed.append(drift(warming, YEARS))
    assert np.mean([t.kind == "break" for t in broken]) > 0.9
    assert np.median([abs(t.break_at - 18) for t in broken]) <= 1
    assert np.mean([t.shift for t in broken]) == pytest.approx(2.0, abs=0.2)
    # Half a kelvin a decade in noise of half a kelvin is taken for a jump at times.
    assert np.mean([t.kind == "trend" for t in warmed]) > 0.75
    assert np.mean([t.kind == "none" for t in warmed]) < 0.02
    assert np.mean([t.per_decade for t in warmed]) == pytest.approx(0.5, abs=0.05)


def test_nothing_stands_out_of_noise(rng):
    kinds = [drift(rng.normal(0, 1, 30), YEARS).kind for _ in range(400)]
    assert kinds.count("none") > 0.88 * len(kinds)


def test_ten_winters_at_least_and_unknown_ones_left_out(rng):
    x = rng.normal(0, 1, 12)
    x[[2, 5, 9]] = np.nan
    assert drift(x, YEARS[:12]) is None
    x[2] = 0.0
    assert drift(x, YEARS[:12]) is not None
