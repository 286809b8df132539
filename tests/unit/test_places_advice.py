"""Dates and months of many places are those that each place has alone."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.advice.dates import STATUSES, move_in, move_out
from climrisk.advice.judged import ColdNights
from climrisk.advice.months import STATES, month_states, reconciled
from climrisk.advice.places import advise_places
from climrisk.exposure.hours import expose
from climrisk.exposure.running import RunningExposure
from climrisk.seasons import Seasons
from climrisk.sun import night_hours, sun_path

YEARS = 6
LATITUDES = {True: np.linspace(36, 72, 24), False: -np.linspace(20, 54, 24)}


def made(*, north: bool, seed: int = 5):
    """Hours of 24 places from frostless to arctic, with gaps of all lengths."""
    rng = np.random.default_rng(seed)
    time = np.arange(
        "2010-05-03T05:00", f"{2010 + YEARS}-09-01", 60, dtype="datetime64[m]"
    )
    latitude = LATITUDES[north]
    seasons = Seasons.of(time, zone="Etc/GMT-1", latitude_deg=latitude[0])
    day = np.arange(len(time)) / 24
    phase = 2 * np.pi * (day - (200 if north else 18)) / 365.25
    year = np.cos(phase)[:, None] * np.linspace(4, 16, 24)
    noise = np.repeat(rng.normal(0, 3, (len(time) // 24 + 1, 24)), 24, axis=0)
    air = np.linspace(24, 2, 24) + year + noise[: len(time)]
    air += 3 * np.sin(2 * np.pi * (day[:, None] - 0.4))
    for case, length in enumerate((0, 0, 3, 40, 300, 2500, 9000, 30000) * 3):
        first = int(rng.integers(0, len(time) - 1000))
        air[first : first + length, case] = np.nan
    sun = sun_path(time, latitude, np.full(24, 12.0))
    return air.astype(np.float32), seasons, night_hours(sun)


@pytest.mark.parametrize("north", [True, False])
@pytest.mark.parametrize("risk", [0.2, 0.35, 0.5])
def test_places_are_advised_as_each_alone(north, risk):
    air, seasons, dark = made(north=north)
    both = expose(air, seasons, dark, np.array([8.0]))
    told = advise_places(both.nights, 8.0, risk, risk)
    words = set()
    for i in range(air.shape[1]):
        alone = expose(air[:, i : i + 1], seasons, dark[:, i], np.array([8.0]))
        cold = ColdNights.of(alone.nights, 8.0)
        into, out = move_in(cold, risk), move_out(cold, risk)
        assert told.winters[i] == len(cold.winters)
        assert told.with_cold_night[i] == cold.winters_with_cold()[0]
        for want, day, status in (
            (into, told.move_in_day[i], told.move_in_status[i]),
            (out, told.move_out_day[i], told.move_out_status[i]),
        ):
            assert STATUSES[status] == want.status
            assert (None if np.isnan(day) else int(day)) == want.day
            words.add(want.status)
        months = reconciled(month_states(cold, risk), into, out, north=north)
        for month, row in months.items():
            assert STATES[told.month_state[month - 1, i]] == row.state
            if row.share is not None:
                assert told.month_share[month - 1, i] == pytest.approx(row.share)
    assert len(words) >= 3  # the climates differ enough to mean something


@pytest.mark.parametrize("parts", [1, 2, 7, 40])
def test_hours_in_parts_are_the_hours_at_once(parts):
    air, seasons, dark = made(north=True)
    limits = np.array([0.0, 8.0, 15.0])
    want = expose(air, seasons, dark, limits)
    rng = np.random.default_rng(parts)
    cuts = np.sort(rng.choice(len(air), parts - 1, replace=False))
    running = RunningExposure(seasons, limits, air.shape[1])
    for a, b in zip([0, *cuts], [*cuts, len(air)], strict=True):
        running.add(air[a:b], dark[a:b])
    got = running.exposure()
    for name in ("hours", "unknown", "expected", "longest_run_hours", "years"):
        assert np.array_equal(getattr(got, name), getattr(want, name)), name
    np.testing.assert_allclose(got.degree_hours, want.degree_hours, rtol=1e-5)
    for name in ("lowest_c", "day_highest_c", "valid", "evening"):
        np.testing.assert_array_equal(
            getattr(got.nights, name), getattr(want.nights, name)
        )


def test_hours_left_out_are_noticed():
    air, seasons, dark = made(north=True)
    running = RunningExposure(seasons, np.array([5.0]), air.shape[1])
    running.add(air[:1000], dark[:1000])
    with pytest.raises(ValueError, match="1000 of"):
        running.exposure()
