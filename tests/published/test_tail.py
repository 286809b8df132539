"""L-moments, fitted tails and the band of a date, against printed and exact values."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.advice.curve import date_span, reached, risk_curve
from climrisk.advice.dates import dated_winters, move_in, move_out
from climrisk.advice.return_levels import (
    FittedExtremes,
    fit,
    l_moments,
    shape_score,
    tail,
)
from tests.published.calibration import Fresh, harmful_nights, minima
from tests.published.rows import ROWS, expected

PIRIE = np.array([float(v) for v in ROWS["XT01"]["inputs"].split("data=")[1].split()])


def near(key):
    return pytest.approx(expected(key), abs=float(ROWS[key]["tolerance"]))


def test_sample_l_moments_of_port_pirie_and_of_five_numbers():
    l1, l2, t3 = l_moments(PIRIE)
    assert len(PIRIE) == 65
    assert l1 == near("XT19")
    assert l2 == near("XT20")
    assert t3 == near("XT21")
    assert l_moments(np.array([1.0, 2, 3, 4, 10]))[1] == near("XT30")


def test_l_moments_of_samples_laid_out_as_known_distributions():
    """Plotting positions of many points give the distribution's own ratios."""
    p = (np.arange(200_000) + 0.5) / 200_000
    gumbel = -np.log(-np.log(p))
    assert l_moments(gumbel)[2] == pytest.approx(expected("XT23"), abs=3e-4)
    assert l_moments(gumbel)[1] == pytest.approx(expected("XT29"), abs=3e-4)
    assert l_moments(-np.log(1 - p))[2] == pytest.approx(expected("XT25"), abs=3e-4)
    assert l_moments(p)[2] == pytest.approx(expected("XT28"), abs=1e-9)


def test_shape_of_port_pirie_by_the_printed_approximation():
    fitted = fit(PIRIE, gumbel=False)
    assert fitted.shape == near("XT33")
    # Not so far from zero that 65 years would rule out a Gumbel distribution.
    assert abs(shape_score(float(fitted.shape), 65)) < 1.96


def test_a_fit_gives_back_what_it_was_drawn_from():
    for shape in (-0.15, 0.0, 0.2):
        made = FittedExtremes(np.array(5.0), np.array(1.3), np.array(shape))
        p = (np.arange(50_000) + 0.5) / 50_000
        x = np.array([float(made.quantile(float(q))) for q in p[::50]])
        fitted = fit(x, gumbel=False)
        assert fitted.location == pytest.approx(5.0, abs=0.02)
        assert fitted.scale == pytest.approx(1.3, abs=0.03)
        assert fitted.shape == pytest.approx(shape, abs=0.02)


def test_tail_needs_fifteen_winters_and_stays_near_its_record():
    rng = np.random.default_rng(4)
    winters = rng.normal(-2, 2, (14, 3))
    assert tail(winters).distribution == "none"
    fitted = tail(rng.normal(-2, 2, (20, 3)))
    assert list(fitted.once_in) == [5, 10, 20, 30]
    levels = [float(fitted.once_in[n].mid) for n in fitted.once_in]
    assert levels == sorted(levels, reverse=True)
    for band in fitted.once_in.values():
        assert band.low <= band.mid <= band.high


def test_band_of_the_once_in_twenty_night_holds_the_truth_as_often_as_it_says():
    """Made Gumbel winters whose truth is known: 80 % nominal, three standard errors
    of 200 trials are 0.085."""
    rng = np.random.default_rng(11)
    scale, held, trials = 1.6, 0, 200
    truth = -(2 - scale * np.log(-np.log(1 - 1 / 20)))
    for _ in range(trials):
        band = tail(-rng.gumbel(2, scale, (30, 1))).once_in[20]
        held += band.low <= truth <= band.high
    assert 0.715 < held / trials < 0.885


@pytest.mark.long
def test_band_of_a_risk_holds_the_true_risk_as_often_as_it_says():
    rng = np.random.default_rng(12)
    fresh = Fresh(minima(3000, rng))
    held = []
    for _ in range(600):
        made = harmful_nights(minima(20, rng)[:, :, None])
        curve = risk_curve(made, autumn=True)
        day = move_in(made, 0.25).day
        row = next(r for r in curve if r.day == day)
        held.append(row.risk.low <= fresh.risk(day, autumn=True) <= row.risk.high)
    # 80 % nominal; three standard errors of 600 trials are 0.05.
    assert 0.75 < np.mean(held) < 0.85


def least_risk(signed, day):
    """Return the least risk for which a day is the date; 0 beyond all dates."""
    dates, risk = reached(signed)
    return np.interp(day, dates, risk, right=0.0) if day >= dates[0] else 0.0


@pytest.mark.parametrize("members", [1, 4])
def test_curve_and_dates_say_the_same(members):
    rng = np.random.default_rng(members)
    lowest = minima(25, rng)[:, :, None] + rng.normal(0, 1, members)
    made = harmful_nights(lowest)
    autumn, spring = risk_curve(made, autumn=True), risk_curve(made, autumn=False)
    for curve, rising in ((autumn, True), (spring, False)):
        risks = [float(r.risk.mid) for r in curve]
        assert risks == sorted(risks, reverse=not rising)
        days = [r.day for r in curve]
        assert days == sorted(days)
        for row in curve:
            assert 0 <= row.risk.low <= row.risk.mid <= row.risk.high <= 1
    for risk in (0.05, 0.1, 0.25, 0.5):
        into, out = move_in(made, risk).day, move_out(made, risk).day
        # A day is whole: half a day of rounding, as the date itself has.
        autumns, springs = (dated_winters(d) for d in made.first_and_last)
        assert least_risk(autumns, into - 0.5) <= risk + 1e-9
        assert least_risk(-springs, 0.5 - out) <= risk + 1e-9
        first, last = date_span(autumn, risk, autumn=True)
        assert (first or 0) <= into <= (last or 365)
        first, last = date_span(spring, risk, autumn=False)
        assert (first or 0) <= out <= (last or 365) + 1
