"""Dates and months of many places are those that each place has alone."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache

import numpy as np
import pytest

from climrisk.advice.chilling import Exemption
from climrisk.advice.dates import STATUSES
from climrisk.advice.limits import limits_of
from climrisk.advice.months import STATES
from climrisk.advice.places import advise_places
from climrisk.commands.shared.judgements import Judgements
from climrisk.core.calendar import Seasons
from climrisk.exposure.hours import expose
from climrisk.exposure.streaming import RunningExposure
from climrisk.physics.solar import night_hours, sun_path
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare
from climrisk.weather.series import Place, Source, WeatherSeries
from tests.made_nights import days_of, hours, judged, record
from tests.made_plants import plant

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
        first = int(rng.integers(0, len(time) - max(1000, length)))
        air[first : first + length, case] = np.nan
    sun = sun_path(time, latitude, np.full(24, 12.0))
    return air.astype(np.float32), seasons, night_hours(sun)


#: The second rests cool and dry, the third has a window of wanted cold.
PLANTS = (
    plant(12.0, tolerated=8.0),
    plant(12.0, tolerated=5.0, rest="cool_dry"),
    plant(12.0, tolerated=6.0, name="Cymbidium, standard hybrids"),
)


@lru_cache(maxsize=2)
def homes(*, north):
    """The same hours as records of single spots, and all nights at once."""
    air, seasons, dark = made(north=north)
    time = np.arange(
        "2010-05-03T05:00", f"{2010 + YEARS}-09-01", 60, dtype="datetime64[m]"
    )
    out = []
    for i, latitude in enumerate(LATITUDES[north]):
        place = Place("made", float(latitude), 12.0, 10.0, "Etc/GMT-1")
        source = Source("logger", "made", "", "spot")
        values = {"air_temp_c": air[:, i]}
        series = WeatherSeries.build(time, values, place=place, source=source)
        out.append(Judgements(prepare(series, ensemble(1))))
    return out, expose(air, seasons, dark, np.array([8.0])).nights


@pytest.mark.parametrize("north", [True, False])
@pytest.mark.parametrize(
    ("which", "risk"), [(0, 0.05), (0, 0.2), (0, 0.5), (1, 0.2), (2, 0.2)]
)
def test_places_are_judged_as_each_alone(north, which, risk):
    alone, nights = homes(north=north)
    chosen, risks = PLANTS[which], (risk, max(risk, 0.25))
    limits = limits_of(chosen, "established")
    both = limits.preferred_c, limits.tolerated_c
    advice = advise_places(nights, both, risks, Exemption.of(chosen))
    statuses, states = set(), set()
    for i, home in enumerate(alone):
        want = home.at(spot_kind("as-measured"), chosen, limits, risks)
        assert advice.winters[i] == len(want.harmful.winters)
        assert advice.with_harmful_night[i] == want.harmful.winters_with_cold()[0]
        for month, row in want.months.items():
            assert STATES[advice.month_state[month - 1, i]] == row.state
            states.add(row.state)
            if row.share_harmful is not None:
                share = advice.month_share[month - 1, i]
                assert share == pytest.approx(row.share_harmful)
        for date, day, status in (
            (want.dates.move_in, advice.move_in_day[i], advice.move_in_status[i]),
            (want.dates.move_out, advice.move_out_day[i], advice.move_out_status[i]),
        ):
            assert STATUSES[status] == date.status
            assert (None if np.isnan(day) else int(day)) == date.day
            statuses.add(date.status)
    # The climates differ enough to mean something.
    assert states == set(STATES)
    assert {"date", "never", "few"} <= statuses


def test_the_gap_of_a_place_is_not_filled_by_its_neighbors():
    """Two places alike, one without its autumns: the other says nothing of them."""
    lowest = record(5, cold=[(None, days_of(1), 2.0)])
    gaps = lowest.copy()
    gaps[:, days_of(8).start : days_of(12).start] = np.nan
    alone = [judged(hours(x), PLANTS[0]) for x in (lowest, gaps)]
    tables = [advice.nights for advice in alone]
    both = replace(
        tables[0],
        **{
            name: np.hstack([getattr(t, name) for t in tables])
            for name in ("lowest_c", "day_highest_c", "valid")
        },
    )
    advice = advise_places(both, (12.0, 8.0), (0.2, 0.25))
    want = [t.dates.move_in.status for t in alone]
    assert want == ["date", "few"]
    assert [STATUSES[s] for s in advice.move_in_status] == want


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
