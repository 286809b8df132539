"""Pots that dry: water is kept account of, and dries by the laws of the trade."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.commands.pots.water import PotWater
from climrisk.physics.humidity import saturation_pressure_pa
from climrisk.pot.drying import MOST_D, Drying, drying, just_watered
from climrisk.pot.grid import holds_kg
from climrisk.pot.media import media
from climrisk.pot.model import FilledPot
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import WeatherSeries
from climrisk.weather.synthetic import demo_weather
from tests.made_weather_series import climate

BARK = FilledPot.named("thin-plastic", 12, "pine-bark-fine")
START = np.array([24 * 40])


def steady(air=20.0, dew=10.0, wind=1.0, days=140):
    """Return a made spot of one long cloudy, dark hour."""
    made = climate(years=1, measured_at="spot")
    prepared = prepare(made, ensemble(1))
    spot = spot_climate(prepared, spot_kind("as-measured")).hours(slice(0, 24 * days))
    like = np.ones_like(spot.air_c)
    radiation = np.float32(5.670374e-8 * (air + 273.15) ** 4)
    return replace(
        spot,
        air_c=air * like,
        dew_point_c=dew * like,
        wind_m_s=wind * like,
        longwave_wall_w_m2=radiation * like,
        longwave_top_w_m2=radiation * like,
        solar_wall_w_m2=0 * like,
        solar_top_w_m2=0 * like,
        floor_c=air * like,
    )


def days(pot=BARK, **made):
    return float(drying(steady(**made), pot, START).dry_after_d[0, 0])


@pytest.fixture(scope="module")
def balcony():
    hours = demo_weather().between(0, 24 * 730)
    prepared = prepare(hours, ensemble(3))
    return prepared, spot_climate(prepared, spot_kind("roofed-balcony"))


def test_every_gram_is_accounted_for(balcony):
    """Held, evaporated and run off add up to what was there just after watering."""
    _, spot = balcony
    for kind, name in (("terracotta", "akadama"), ("self-watering", "expanded-clay")):
        found = drying(spot, FilledPot.named(kind, 12, name), np.arange(10) * 24 * 60)
        total = found.held_kg + found.evaporated_kg + found.run_off_kg
        assert np.abs(total - found.held_kg[0]).max() < 2e-5  # single precision
        assert (np.diff(found.held_kg, axis=0) < 1e-4).all() or found.run_off_kg.any()


def test_a_pot_starts_drained_and_ends_with_a_fifth_of_its_usual_water():
    found = drying(steady(), BARK, START)
    volume = np.pi * 0.06**2 * 0.108
    assert found.held_kg[0, 0, 0] == pytest.approx(1000 * 0.48 * volume, rel=1e-6)
    assert found.dry_kg == pytest.approx(1000 * 0.2 * 0.38 * volume, rel=1e-6)
    day = float(found.dry_after_d[0, 0])
    held = np.interp(day, np.arange(MOST_D + 1), found.held_kg[:, 0, 0])
    assert held == pytest.approx(found.dry_kg, rel=1e-4)


def test_steady_air_dries_as_the_balance_by_hand():
    """Plastic lets no water through: only the top loses it, at a constant pace, until
    half of it is gone. Between the wet bulb and the air, that pace is bounded.

    In single file: heat of vaporization 2.45 MJ/kg, films of 3 to 25 W/m2K for a small
    top in air of 1 m/s, psychrometric constant 66 Pa/K.
    """
    found = drying(steady(), BARK, START)
    lost = float(found.evaporated_kg[1, 0, 0])
    area = np.pi * 0.06**2
    deficit = float(
        saturation_pressure_pa(np.array(20.0)) - saturation_pressure_pa(np.array(10.0))
    )
    wetness = just_watered(BARK).top_wetness
    most = 86400 * 25 / 66 * wetness * deficit * area / 2.45e6
    least = 0.3 * 86400 * 3 / 66 * wetness * deficit * area / 2.45e6
    assert least < lost < most
    # A constant pace in the first days, once the pot has cooled to its balance.
    pace = np.diff(found.evaporated_kg[:, 0, 0])
    assert pace[1:4] == pytest.approx(pace[1], rel=1e-3)
    # From half on in proportion to the water; the less a top evaporates the less it
    # cools itself, so that it gives off more for its wetness, half as much again at
    # most (up to the air's own temperature).
    held = found.held_kg[:, 0, 0]
    late = held[(held < 0.45 * held[0]) & (held > found.dry_kg)]
    rate = -np.diff(np.log(late)) / (pace[1] / (held[0] / 2))
    assert (rate > 1).all()
    assert (np.diff(rate) > 0).all()
    assert (rate < 1.6).all()


def test_saturated_air_dries_nothing():
    assert days(dew=20.0) == MOST_D
    found = drying(steady(dew=20.0), BARK, START)
    assert np.abs(found.evaporated_kg).max() < 1e-3


@pytest.mark.parametrize(
    ("slower", "faster"),
    [
        ({"dew": 15.0}, {"dew": 5.0}),
        ({"air": 15.0, "dew": 5.0}, {"air": 25.0, "dew": 5.0}),
        ({"wind": 0.3}, {"wind": 3.0}),
    ],
    ids=["drier", "warmer", "windier"],
)
def test_drier_warmer_and_windier_air_dries_faster(slower, faster):
    for kind in ("thin-plastic", "terracotta"):
        pot = replace(BARK, kind=kind)
        assert days(pot, **faster) < days(pot, **slower)


def test_larger_pots_take_longer_and_clay_less():
    sizes = [days(replace(BARK, diameter_cm=cm)) for cm in (8.0, 12.0, 18.0)]
    assert sizes == sorted(sizes)
    assert sizes[0] < sizes[-1]
    # Growers: unglazed clay dries its medium about twice as fast as plastic, or more.
    assert days(replace(BARK, kind="terracotta")) < 0.6 * days()


def test_a_medium_that_holds_more_water_under_the_same_top_takes_longer():
    more = replace(BARK.medium, water_drained=0.6)
    assert days(replace(BARK, medium=more)) > days()


def test_a_coarse_interior_dries_as_the_full_one(balcony):
    _, spot = balcony
    starts = np.arange(4) * 24 * 90
    for kind in ("thin-plastic", "terracotta"):
        pot = replace(BARK, kind=kind)
        quick = drying(spot, pot, starts).dry_after_d
        whole = drying(spot, pot, starts, grid=(6, 8)).dry_after_d
        assert quick == pytest.approx(whole, rel=0.05)


def test_a_reservoir_is_emptied_before_its_medium_dries():
    """By hand: 3 cm or a quarter of the fill, voids of 0.45."""
    pot = FilledPot.named("self-watering", 12, "expanded-clay")
    found = drying(steady(), pot, START)
    water = 1000 * np.pi * 0.06**2 * 0.25 * 0.108 * 0.45
    assert found.held_kg[0, 0, 0] - found.empty_kg == pytest.approx(water, rel=1e-6)
    assert found.empty_kg == pytest.approx(holds_kg(pot.numbers), rel=1e-6)
    assert (found.wet_share(7) == 1).all()
    day = float(found.dry_after_d[0, 0])
    held = np.interp(day, np.arange(MOST_D + 1), found.held_kg[:, 0, 0])
    assert held == pytest.approx(found.empty_kg, rel=1e-4)


@pytest.mark.parametrize("name", sorted(media()))
def test_every_medium_dries_or_says_that_it_does_not(name):
    found = drying(steady(), FilledPot.named("thin-plastic", 12, name), START)
    assert 0 < float(found.dry_after_d[0, 0]) <= MOST_D
    assert found.dry_kg < found.damp_kg <= found.held_kg[0, 0, 0] + 1e-9


def test_days_and_shares_of_a_line():
    """Ten units fall by one a day: damp at 7 after three days, dry at 2 after eight."""
    held = np.arange(10.0, -1, -1)[:, None, None]
    zero = np.zeros_like(held)
    made = Drying(held, zero, zero, 7.0, 2.0, None)
    assert made.dry_after_d[0, 0] == 8.0
    assert made.wet_share(6)[0, 0] == 0.5
    assert made.wet_share(2)[0, 0] == 1.0
    assert replace(made, dry_kg=2.5).dry_after_d[0, 0] == 7.5
    assert replace(made, dry_kg=-1.0).dry_after_d[0, 0] == 10.0


def test_summer_dries_faster_than_winter_on_both_halves_of_the_earth(balcony):
    prepared, spot = balcony
    found = water(prepared, spot)
    assert found["summer"].mid < 0.7 * found["winter"].mid
    assert list(found) == ["winter", "spring", "summer", "autumn"]
    # The same hours on the other half: the seasons change their names.
    hours = prepared.weather
    south = WeatherSeries.build(
        hours.time,
        {k: v[:, 0] for k, v in hours.values.items()},
        place=replace(hours.place, latitude_deg=-hours.place.latitude_deg),
        source=hours.source,
    )
    turned = prepare(south, ensemble(3))
    there = water(turned, spot)
    # Sun and house differ there a little; by the calendar winter is in July.
    assert there["winter"].mid == pytest.approx(found["summer"].mid, rel=0.25)
    assert there["summer"].mid == pytest.approx(found["winter"].mid, rel=0.25)


def water(prepared, spot, pot=BARK):
    table = PotWater(prepared, spot, 10.0)
    return table.dry_after_d(table.dried(pot))


def test_wet_and_cold_hours_keep_to_what_they_are_made_of(balcony):
    prepared, spot = balcony
    table = PotWater(prepared, spot, 10.0)
    cold = [np.array([[300.0] * 3, [100.0] * 3, [0.0] * 3, [50.0] * 3])] * 3
    dried = table.dried(BARK)
    usual = table.wet_and_cold(BARK, dried, cold)
    assert 0 < usual.mid < 450
    wet = table.wet_and_cold(replace(BARK, wetness="wet"), dried, cold)
    dry = table.wet_and_cold(replace(BARK, wetness="dry"), dried, cold)
    assert (wet.low, wet.mid, wet.high) == (450, 450, 450)
    assert (dry.low, dry.mid, dry.high) == (0, 0, 0)
    often = table.wet_and_cold(replace(BARK, watered_every_d=3), dried, cold)
    seldom = table.wet_and_cold(replace(BARK, watered_every_d=21), dried, cold)
    assert seldom.mid < usual.mid < often.mid
    # Where rain falls on the pot, any cold hour may be a wet one.
    rained = PotWater(prepared, replace(spot, rain_reaches=True), 10.0)
    assert rained.wet_and_cold(BARK, dried, cold).high == 450
    # Unglazed clay is wet for a smaller share of the time.
    clay = replace(BARK, kind="terracotta")
    assert table.wet_and_cold(clay, table.dried(clay), cold).mid < usual.mid


def test_cold_hours_by_season_add_up_to_those_of_the_year(balcony):
    prepared, spot = balcony
    table = PotWater(prepared, spot, 10.0)
    root = np.asarray(spot.air_c)
    years = len(root) / 8766
    assert table.cold_hours(root).sum(axis=0) == pytest.approx(
        (root < 10).sum(axis=0) / years
    )
