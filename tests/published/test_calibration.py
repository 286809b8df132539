"""The promise: the true risk of promised dates on many fresh winters.

Climates are made, so that the truth is known: the first cold night of a winter is
drawn from a distribution with autocorrelated nights, and promised dates are tried on
fresh winters of the same climate. The true risk must lie in the binomial interval
around the promised one, on average over many records.
"""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.advice.dates import move_in, move_out
from climrisk.advice.judged import ColdNights
from climrisk.seasons import season_date
from climrisk.spot.members import worlds

LIMIT = 8.0
_MONTH = np.array([season_date(d, north=True)[0] for d in range(365)])


def minima(count, rng):
    """Night minima of made winters, shape (winter, 365): season plus red noise."""
    day = np.arange(365)
    season = 12 - 9 * np.cos(2 * np.pi * (day - 18) / 365.25 + np.pi)
    noise = np.empty((count, 365))
    x = rng.normal(0, 3, count)
    for d in range(365):
        x = 0.7 * x + rng.normal(0, 3 * np.sqrt(1 - 0.49), count)
        noise[:, d] = x
    return season + noise + rng.normal(0, 0.8, (count, 1))


def cold_nights(lowest, members=1):
    """ColdNights of minima (winter, 365, member)."""
    n = len(lowest)
    cold = (lowest < LIMIT).reshape(n * 365, members)
    return ColdNights(
        cold,
        np.zeros_like(cold),
        np.tile(_MONTH, n),
        np.repeat(np.arange(n), 365),
        np.tile(np.arange(365), n),
        np.arange(n),
        north=True,
    )


def true_risk(day, lowest, *, autumn):
    days = np.arange(365)
    before = days < day if autumn else days >= day
    return (lowest[:, before] < LIMIT).any(axis=1).mean()


def interval(risk, trials):
    return 2.58 * np.sqrt(risk * (1 - risk) / trials)  # 99 %


@pytest.mark.parametrize("risk", [0.10, 0.25, 0.50])
@pytest.mark.parametrize("winters", [10, 12, 30, 60])
def test_as_measured_dates_keep_their_promise(winters, risk):
    rng = np.random.default_rng([winters, int(100 * risk)])
    fresh = minima(4000, rng)
    records = 150
    into, out = [], []
    for _ in range(records):
        made = cold_nights(minima(winters, rng)[:, :, None])
        into.append(true_risk(move_in(made, risk).day, fresh, autumn=True))
        out.append(true_risk(move_out(made, risk).day, fresh, autumn=False))
    # A whole day is the grain of a date: floor and ceiling cost half a day, about one
    # per cent of risk in these climates, always to the safe side.
    grain = 0.02
    # Records of n winters scatter about the truth like a binomial share of n + 1.
    width = interval(risk, records * (winters + 1))
    for side in (into, out):
        assert risk - width - grain < np.mean(side) < risk + width


@pytest.mark.parametrize("risk", [0.10, 0.25, 0.50])
def test_dates_keep_their_promise_where_the_spot_is_drawn_from_its_prior(risk):
    rng = np.random.default_rng(int(1000 * risk))
    sd, winters, records = 1.5, 30, 200
    world = worlds(20).scores["still"][0] * sd
    tried = []
    for _ in range(records):
        truth = rng.normal(0, sd)
        station = minima(winters, rng)
        made = cold_nights(station[:, :, None] + world, members=20)
        fresh = minima(400, rng) + truth
        tried.append(true_risk(move_in(made, risk).day, fresh, autumn=True))
    # The spread of the truth, not the number of winters, decides the scatter: the
    # interval is that of as many independent trials as there are records.
    assert abs(np.mean(tried) - risk) < interval(risk, records) + 0.02


def test_a_warming_climate_leaves_dates_too_cautious():
    """The bias is stated, not hidden: 0.5 K a decade over 30 winters."""
    rng = np.random.default_rng(5)
    trend = 0.05 * (np.arange(30) - 29)
    risks = []
    for _ in range(100):
        made = cold_nights((minima(30, rng) + trend[:, None])[:, :, None])
        risks.append(
            true_risk(move_in(made, 0.25).day, minima(400, rng) + 0.05, autumn=True)
        )
    bias = np.mean(risks) - 0.25
    print(f"bias of a promised 25 % in a climate warming 0.5 K a decade: {bias:+.3f}")
    assert bias < 0
