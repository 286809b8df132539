"""Dry air by season, against independent recounts."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.commands.shared.light import dryness
from climrisk.exposure.dryness import LEVELS, dry_air, hours_per_year, season_months
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import WeatherSeries
from tests.made_weather_series import climate


def dry_climate(**changes):
    """Return a made climate whose dew point is 10 °C, or a kelvin below the air."""
    weather = climate(**changes)
    values = {k: v[:, 0] for k, v in weather.values.items()}
    values["dew_point_c"] = np.minimum(values["air_temp_c"] - 1, 10.0)
    return WeatherSeries.build(
        weather.time, values, place=weather.place, source=weather.source
    )


def at_spot(weather, members=3):
    prepared = prepare(weather, ensemble(members))
    return prepared, spot_climate(prepared, spot_kind("as-measured"))


def magnus(t):
    return 6.112 * np.exp(17.62 * t / (243.12 + t))  # WMO-No. 8, over water [hPa]


def recount(made, threshold, months, month):
    """Return hours with a deficit above a threshold, by a plain loop over members."""
    rows = np.isin(month, months)
    air, dew = made.air_c[rows], made.dew_point_c[rows]
    air, dew = air.astype(float), dew.astype(float)
    deficit = (magnus(air) - magnus(dew)) / 10
    return (deficit > threshold).sum(axis=0)


@pytest.mark.parametrize("latitude", [44.0, -44.0])
def test_seasons_hold_the_hours_that_a_recount_finds(latitude):
    weather = dry_climate(years=4, mean=22, latitude=latitude)
    prepared, made = at_spot(weather)
    result = dryness(made, prepared, humidity_low_pct=None, state="established")
    month = weather.time.astype("datetime64[M]").astype(int) % 12 + 1
    north = latitude > 0
    for season in result.seasons:
        months = np.array(
            {
                "winter": (12, 1, 2),
                "spring": (3, 4, 5),
                "summer": (6, 7, 8),
                "autumn": (9, 10, 11),
            }[season.season]
        )
        if not north:
            months = np.where(months <= 6, months + 6, months - 6)
        hours = np.isin(month, months).sum()
        for level, band in season.hours_above_vpd.items():
            found = recount(made, float(level), months, month) / hours * 8766 / 4
            # Hours within a float's breath of the level may fall either way.
            assert band.mid == pytest.approx(np.median(found), abs=4, rel=0.01)
    warm = {s.season: s.hours_above_vpd["1"].mid for s in result.seasons}
    # The made year is warmest in July and January alike: the season follows the half.
    assert max(warm, key=warm.get) == ("summer" if north else "winter")


def test_the_year_is_the_sum_of_its_seasons():
    prepared, made = at_spot(dry_climate(years=4, mean=22), members=1)
    result = dryness(made, prepared, humidity_low_pct=50, state="established")
    for level, whole in result.vpd_per_year.items():
        parts = sum(s.hours_above_vpd[level].mid or 0.0 for s in result.seasons)
        assert whole.mid > 100
        # Seasons have 90 to 92 days; each is scaled to a quarter of a year.
        assert parts == pytest.approx(whole.mid, rel=0.02, abs=3)
    assert result.hours_below_humidity.mid / 4 == pytest.approx(
        result.humidity_per_year.mid, abs=1
    )


def test_states_without_roots_have_stricter_levels():
    prepared, made = at_spot(dry_climate(years=2, mean=22), members=1)

    def dryness_of(state, limit):
        return dryness(made, prepared, humidity_low_pct=limit, state=state)

    rooted, unrooted = dryness_of("established", 40.0), dryness_of("unrooted", 40.0)
    assert unrooted.humidity_low_pct == 70.0
    assert (unrooted.humidity_basis, unrooted.vpd_basis) == ("memory", "memory")
    assert rooted.humidity_basis == "profile"
    assert unrooted.hours_below_humidity.mid > rooted.hours_below_humidity.mid
    # A plant that wants more than its state keeps its own limit.
    assert dryness_of("new-import", 80.0).humidity_low_pct == 80.0
    assert dryness_of("new-import", 80.0).humidity_basis == "profile"
    for strict in ("unrooted", "new-import"):
        for a, b in zip(
            LEVELS[strict].vpd_kpa, LEVELS["established"].vpd_kpa, strict=True
        ):
            assert a < b
        assert LEVELS[strict].basis == "memory"


def test_without_a_humidity_limit_the_count_is_unknown_and_says_why():
    prepared, made = at_spot(climate(years=1), members=1)
    result = dryness(made, prepared, humidity_low_pct=None, state="established")
    assert result.hours_below_humidity is None
    assert result.humidity_per_year is None
    assert all(s.hours_below_humidity is None for s in result.seasons)
    assert "no source" in result.unknown_because["hours_below_humidity"]


def test_unknown_hours_are_neither_dry_nor_damp():
    weather = climate(years=1, mean=25)
    values = {k: v[:, 0].copy() for k, v in weather.values.items()}
    values["air_temp_c"][: 24 * 60] = np.nan  # July and August
    holed = WeatherSeries.build(
        weather.time, values, place=weather.place, source=weather.source
    )
    prepared, made = at_spot(holed, members=1)
    dry = dry_air(
        made,
        prepared.seasons,
        prepared.dark,
        humidity_low_pct=None,
        state="established",
    )
    assert dry.deficit.total_unknown[0] == 24 * 60
    known = len(weather) - 24 * 60
    expected = dry.deficit.total_hours[0] / known * 8766
    assert hours_per_year(dry.deficit, 0) == pytest.approx(expected)


def test_july_is_winter_in_the_south():
    assert season_months("winter", north=False) == (6, 7, 8)
    assert sorted(
        m
        for s in ("winter", "spring", "summer", "autumn")
        for m in season_months(s, north=False)
    ) == list(range(1, 13))
