"""Clear plastic with wet clay pebbles or clay with dry bark: which roots are colder?"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.commands.pots.compute import PotsRequest, pots
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.pot.daily import daily_response
from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import root_zone
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kinds import spot_kind
from climrisk.weather.selection import WeatherChoice, load_weather

PEBBLES = FilledPot.named("clear-plastic", 12, "expanded-clay", wetness="wet")
BARK = FilledPot.named("terracotta", 14, "pine-bark-fine", wetness="dry")
BIG = FilledPot.named("clear-plastic", 24, "expanded-clay", wetness="wet")


def compared(weather, *those, spot="roofed-balcony", **options):
    at = NamedSpot.of(spot_kind(spot))
    return pots(weather, PotsRequest(at, those, members=3, **options))


@pytest.fixture(scope="module")
def table():
    weather = load_weather(WeatherChoice(demo=True, years=4))
    return compared(weather, PEBBLES, BARK, below=[12])


def test_the_table_has_minimum_lag_and_hours_with_bands(table):
    for row in table.pots:
        assert row.lowest_c.low <= row.lowest_c.mid <= row.lowest_c.high
        assert row.daily_lag_h > 0
        assert row.hours_below["12"].mid > 100
        assert row.reason


def test_no_clear_difference_where_the_band_holds_nothing(table):
    for row in table.pots:
        band = row.warmer_k
        around_zero = band.low <= 0 <= band.high
        if row.differs in ("warmer", "colder"):
            assert not around_zero
        if around_zero:
            assert row.differs in ("no clear difference", "reference")


def test_twins_show_no_clear_difference():
    """Two walls of one color, store and damp medium under a roof."""
    weather = load_weather(WeatherChoice(demo=True, years=2))
    thin, thick = (
        FilledPot.named(wall, 12, "pine-bark-fine")
        for wall in ("thin-plastic", "glass")
    )
    alike = compared(weather, thin, thick)
    by_pot = {r.pot: r.differs for r in alike.pots}
    assert by_pot == {"thin-plastic": "reference", "glass": "no clear difference"}


def weather_of(air, *, dew, wind, days):
    """Night without sun, sky or walls: air of one temperature around the pot."""
    hours = len(air)
    flat = np.ones((hours, 1), np.float32)
    black = (5.670374e-8 * (air + 273.15) ** 4).astype(np.float32)[:, None]
    column = air.astype(np.float32)[:, None]
    start = np.datetime64("2024-01-01T00:00", "m")
    return SpotClimate(
        time=start + 60 * np.arange(hours),
        air_c=column,
        dew_point_c=np.minimum(dew * flat, column),
        wind_m_s=wind * flat,
        gust_m_s=1.5 * wind * flat,
        longwave_wall_w_m2=black,
        longwave_top_w_m2=black,
        solar_wall_w_m2=0 * flat,
        solar_top_w_m2=0 * flat,
        surroundings_c=column,
        floor_c=column,
        leaf_c=column,
        rain_reaches=False,
        pressure_pa=101325.0,
    )


def test_in_dry_moving_air_the_wet_pot_is_no_warmer():
    """Common practice, no source: wet pebbles run cool in dry wind."""
    air = 10 + 4 * np.cos(2 * np.pi * (np.arange(24 * 12) - 14) / 24)
    climate = weather_of(air, dew=-4.0, wind=1.5, days=12)
    dry = replace(PEBBLES, wetness="dry")
    wet_c, dry_c = (
        root_zone(climate, pot).mean_c[24 * 6 :].mean() for pot in (PEBBLES, dry)
    )
    assert wet_c <= dry_c + 0.01


def test_the_heavier_pot_bridges_one_night_and_not_a_week():
    hours = np.arange(24 * 16)
    mild = np.full(len(hours), 12.0)
    one_night, cold_week = mild.copy(), mild.copy()
    one_night[24 * 8 + 18 : 24 * 8 + 30] = 2.0
    cold_week[24 * 8 : 24 * 15] = 2.0

    def lowest(pot, air):
        climate = weather_of(air, dew=1.0, wind=0.5, days=16)
        return np.nanmin(root_zone(climate, pot).mean_c)

    assert lowest(BIG, one_night) > lowest(PEBBLES, one_night) + 0.2
    assert lowest(BIG, cold_week) == pytest.approx(lowest(PEBBLES, cold_week), abs=0.3)
    small, big = (
        daily_response(p.radius_m, p.conductivity_w_mk, 1.5e6, 10.0).mean.lag_h
        for p in (PEBBLES.numbers, BIG.numbers)
    )
    assert big > small
