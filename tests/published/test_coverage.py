"""Ranges of 8 in 10 hold 8 of 10 nights of real neighbors; see `coverage`."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.spot.air import (
    STATION_RANGE_K,
    STATION_SD_K,
    as_from_station,
    spot_air,
)
from climrisk.spot.calibration import WEEKS_K
from climrisk.spot.ensemble import WINDY_WITH_STILL, ensemble
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.nightly import Nightly
from climrisk.spot.regimes import Regimes
from tests.published.coverage import (
    EIGHT_IN_TEN,
    by_regime,
    learned_hits,
    night_hits,
    parameters,
)

BAND = (0.76, 0.84)


def checked(capsys, title, hits, weight, regimes):
    shares = by_regime(hits, weight)
    with capsys.disabled():
        print(f"\n{title}: " + ", ".join(f"{k} {v[0]:.1%}" for k, v in shares.items()))
    for name in regimes:
        share, nights = shares[name]
        assert nights > 200
        assert BAND[0] <= share <= BAND[1], name


@pytest.mark.parametrize("held_out", [True, False])
def test_nights_of_a_spot_lie_in_its_range(capsys, held_out):
    regimes = ("all", "calm", "mixed", "windy")
    title = "weeks held out" if held_out else "as the program is"
    checked(capsys, title, *night_hits(held_out=held_out), regimes)


@pytest.mark.parametrize("weeks_read", [4, 8])
def test_nights_eight_weeks_after_a_logger_lie_in_its_range(capsys, weeks_read):
    title = f"eight weeks after {weeks_read} weeks"
    checked(capsys, title, *learned_hits(weeks_read), ("all", "calm", "windy"))


def test_the_program_has_the_spreads_of_these_records():
    found, kind = parameters(), spot_kind("open-rail")
    assert kind.night_noise_sd == pytest.approx(found.noise, abs=0.06)
    assert kind.windy[1] == pytest.approx(found.windy_sd, abs=0.06)
    assert pytest.approx(found.correlation, abs=0.02) == WINDY_WITH_STILL
    assert pytest.approx(found.weeks_k, abs=0.1) == WEEKS_K
    assert found.still_sd > STATION_SD_K  # the floor is no exaggeration


def one_night(weight):
    hours = 24
    zero = np.zeros((hours, 1), np.float32)
    known = np.array([weight])
    regimes = Regimes(known, np.array([0.0]), known, known)
    index = np.zeros(hours, int)
    return Nightly(index, zero + 1, zero, zero + 1, index, index + 1, regimes)


@pytest.mark.parametrize("weight", [0.0, 0.5, 1.0])
@pytest.mark.parametrize("name", [k for k in KINDS if spot_kind(k).still_winter])
def test_no_night_is_told_more_closely_than_a_station_allows(name, weight):
    kind = spot_kind(name)
    members = ensemble(2000)
    air = np.full((24, 1), 5.0, np.float32)
    dark = np.zeros((24, 1), np.float32)
    spot = spot_air(kind, air, dark, one_night(weight), members, from_station=True)
    low, high = np.quantile(spot[12], [0.1, 0.9])
    # 2,000 draws of the night's own departure leave the range uncertain by 3 %.
    assert high - low > 2 * STATION_RANGE_K * 0.95
    # The same by hand, from the numbers that are printed for the spot.
    stated = as_from_station(kind)
    still, windy = stated.still_winter[1], stated.windy[1]
    both = 2 * WINDY_WITH_STILL * weight * (1 - weight) * still * windy
    variance = (weight * still) ** 2 + ((1 - weight) * windy) ** 2 + both
    noise = weight * kind.night_noise_sd[0] + (1 - weight) * kind.night_noise_sd[1]
    wanted = 2 * EIGHT_IN_TEN * np.sqrt(variance + noise**2)
    assert high - low == pytest.approx(wanted, rel=0.08)


def test_windy_nights_follow_clear_still_ones():
    drawn = ensemble(400).scores
    both = np.corrcoef(drawn["still"][0], drawn["windy"][0])[0, 1]
    assert both == pytest.approx(WINDY_WITH_STILL, abs=0.03)
    assert drawn["windy"].std() == pytest.approx(1.0, abs=0.05)
