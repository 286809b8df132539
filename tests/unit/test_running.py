"""A record in parts, and a spot worked out in the loop, are what the whole gives."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.core.chunked import single_threaded
from climrisk.physics.pieces import single
from climrisk.physics.solar import Places, SunPath, split_light, toward_sun
from climrisk.pot.forcing import Forgetting
from climrisk.pot.kernel.march import March, march
from climrisk.pot.kernel.packing import PackedColumn
from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import root_zone
from climrisk.pot.streaming import RunningRootZone
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kernel_inputs import AHEAD_H, BEFORE_H, Calendar, ingredients
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.learned import Learned
from climrisk.spot.site import Site
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import Place

CASES = 70  # a block of lanes and a part of one
POT = FilledPot.named("thin-plastic", 12.0, "pine-bark-fine")


def places(hours=400, *, south=False, without=(), first=3000):
    """Weather of many places of one standard time, and the places."""
    whole = load_weather(WeatherChoice(demo=True)).between(first, first + hours)
    away = np.linspace(-6.0, 4.0, CASES)
    values = {}
    for name, x in whole.values.items():
        by = away if name in ("air_temp_c", "dew_point_c") else 0 * away
        values[name] = (x + by).astype(np.float32)
    for name in without:
        del values[name]
    latitude = np.linspace(30.0, 50.0, CASES) * (-1 if south else 1)
    weather = replace(
        whole,
        values=values,
        origin=np.broadcast_to(whole.origin, (hours, CASES)),
        place=Place("places", float(latitude[0]), 15.0, None, "Etc/GMT-1"),
    )
    return weather, Places(latitude, np.linspace(8.0, 22.0, CASES))


def by_arrays(weather, at, kind):
    """The climate of a spot in arrays, and the dark hours."""
    sun = SunPath.seen_from(toward_sun(weather.time), at)
    prepared = prepare(weather, ensemble(1), sun=sun)
    return spot_climate(prepared, kind, only_pot=True), prepared.dark


def in_parts(weather, at, kind, pot, edges):
    """Root zone, air and dark hours: the first part by arrays, the others in the loop.

    The last hours, which no part can reach, are left out.
    """
    run = RunningRootZone(pot)
    climate, dark = by_arrays(weather, at, kind)
    calendar = Calendar.of(weather.seasons(), toward_sun(weather.time))
    made = ingredients(weather, kind, calendar, at)
    assert made is not None
    first = edges[0]
    begun = run.add(climate.hours(slice(0, first + 1)), first)
    out = [(begun.mean_c, climate.air_c[:first], dark[:first])]
    end = len(weather) - AHEAD_H
    for first, stop in zip(edges, (*edges[1:], end), strict=True):
        root, air, night = run.add_spot(made, first, stop - first)
        out.append((root.mean_c, air, night))
    return [np.concatenate(x) for x in zip(*out, strict=True)], (climate, dark), end


def assert_both_ways(given, kind, pot, edges):
    """Check that the loop gives what arrays give."""
    weather, at = given
    with single_threaded():
        (root, air, dark), (climate, want_dark), end = in_parts(
            weather, at, kind, pot, edges
        )
        want = root_zone(climate, pot).mean_c
    # Temperatures of single precision, 2^-19 K each, through some hundred operations.
    np.testing.assert_allclose(air, climate.air_c[:end], atol=1e-4)
    np.testing.assert_allclose(root, want[:end], atol=1e-4)
    np.testing.assert_array_equal(dark, want_dark[:end])
    assert np.isfinite(root[-1]).all()


SITES = {
    "told facing": ("recessed-balcony", {"facing_deg": 120.0, "eaves_m": 0.8}),
    "under cloth": ("yard-floor", {"shade_frac": 0.5, "screen_open_frac": 0.4}),
    "behind glass": ("window-sill", {"facing_deg": 200.0}),
    "kept warm": ("heated-room", {"set_point_c": 16.0, "set_back_c": 12.0}),
}


@pytest.mark.parametrize("name", [*KINDS, *SITES])
def test_a_spot_in_the_loop_is_the_spot_of_arrays(name):
    kind, fields = SITES.get(name, (name, {}))
    spot = replace(spot_kind(kind), site=Site(**fields))
    assert_both_ways(places(), spot, POT, (BEFORE_H, 201, 301))


GLASS = {
    "vents": ("glasshouse", {}),
    "closed vents": ("glasshouse", {"vents": "closed"}),
    "cloth": ("glasshouse", {"shade_frac": 0.4, "facing_deg": 90.0}),
    "glazed": ("glazed-balcony", {"facing_deg": 200.0}),
    "beside a pane": ("window-sill", {"from_glass_cm": 2.0, "glass": "single"}),
    "before a curtain": ("window-sill", {"curtain": "glass-side"}),
    "behind a curtain": ("window-sill", {"curtain": "room-side"}),
}


@pytest.mark.parametrize("first", [3000, 8100])
@pytest.mark.parametrize("name", GLASS)
def test_so_it_is_behind_glass_in_winter_and_in_summer(name, first):
    kind, stated = GLASS[name]
    spot = replace(spot_kind(kind), site=Site(**stated))
    weather, at = places(first=first)
    summer = first == 8100
    assert (weather.air_temp_c.max() > 30) == summer
    assert_both_ways((weather, at), spot, POT, (BEFORE_H, 201))


@pytest.mark.parametrize("hours", [(), tuple(np.linspace(-0.5, 1.0, 24))])
def test_so_it_is_of_a_spot_that_was_learned(hours):
    pairs = ((2.0, 0.5), (0.4, 0.3), (0.2, 0.2))
    learned = Learned(*pairs, 0.3, hours, hours[::-1], 0.8, "a station", ())
    spot = replace(spot_kind("recessed-balcony"), learned=learned)
    assert_both_ways(places(), spot, POT, (40, 201))


WITHOUT = {
    "wind": ("wind_speed_m_s", "wind_gust_m_s"),
    "cloud": ("cloud_cover_frac",),
    "wind and cloud": ("wind_speed_m_s", "wind_gust_m_s", "cloud_cover_frac"),
    "sunlight": ("ghi_w_m2",),
    "dew point": ("dew_point_c",),
    "humidity": ("dew_point_c", "rel_humidity_pct"),
}


@pytest.mark.parametrize("lacking", WITHOUT)
def test_so_it_is_where_the_record_lacks_a_variable(lacking):
    given = places(without=WITHOUT[lacking])
    assert_both_ways(given, spot_kind("roofed-balcony"), POT, (40, 201))


@pytest.mark.parametrize("south", [False, True])
def test_so_it_is_on_both_halves_of_the_earth_and_near_the_pole(south):
    weather, at = places(south=south)
    assert_both_ways((weather, at), spot_kind("open-rail"), POT, (40,))
    # Where there is no night in summer, or no day in winter, nothing tells a regime.
    latitude = np.linspace(60.0, 89.0, CASES) * (-1 if south else 1)
    far = Places(latitude, at.longitude_deg)
    place = replace(weather.place, latitude_deg=float(latitude[0]))
    weather = replace(weather, place=place)
    assert_both_ways((weather, far), spot_kind("roofed-balcony"), POT, (40,))


def test_a_bottom_in_the_air_follows_the_air():
    pot = replace(POT, stand="bench")
    assert pot.numbers.bottom_in_air
    assert_both_ways(places(), spot_kind("yard-floor"), pot, (40,))


def test_a_hole_anywhere_takes_the_other_way():
    weather, at = places()
    calendar = Calendar.of(weather.seasons(), toward_sun(weather.time))
    spot = spot_kind("open-rail")
    assert ingredients(weather, spot, calendar, at) is not None
    for name, x in weather.values.items():
        holed = x.copy()
        holed[250, 3] = np.nan
        other = replace(weather, values={**weather.values, name: holed})
        assert ingredients(other, spot, calendar, at) is None


def test_hours_without_those_around_them_are_refused():
    weather, at = places()
    calendar = Calendar.of(weather.seasons(), toward_sun(weather.time))
    spot = spot_kind("open-rail")
    made = ingredients(weather, spot, calendar, at)
    run = RunningRootZone(POT)
    with pytest.raises(ValueError, match="begins with a climate"):
        run.add_spot(made, BEFORE_H, 24)
    climate, _ = by_arrays(weather, at, spot)
    run.add(climate.hours(slice(0, 41)), 40)
    with pytest.raises(ValueError, match="lack those around"):
        run.add_spot(made, BEFORE_H - 1, 24)
    with pytest.raises(ValueError, match="lack those around"):
        run.add_spot(made, 40, len(weather) - 40 - AHEAD_H + 1)


@pytest.mark.parametrize("setup", ["screening", "full"])
@pytest.mark.parametrize("edges", [(400,), (1, 2, 399), (24, 130, 260)])
def test_a_pot_goes_on_from_part_to_part(edges, setup):
    # The whole pot is dry after five days and watered again, and its water freezes.
    pot = replace(POT, watered_every_d=5.0) if setup == "full" else POT
    weather, at = places()
    climate, _ = by_arrays(weather, at, spot_kind("open-rail"))
    climate.air_c[250:] -= np.float32(20)
    for row in (120, 121, 122, 260):
        climate.air_c[row, 3] = np.nan
        climate.wind_m_s[row + 50] = np.nan
    with single_threaded():
        want = root_zone(climate, pot, setup=setup)
        run, first, got = RunningRootZone(pot, setup=setup), 0, []
        for stop in (*edges, 400):
            if stop > first:
                part = climate.hours(slice(first, stop + 1))
                got.append(run.add(part, stop - first).mean_c)
            first = stop
    assert np.nanmin(want.mean_c) < -1.0
    np.testing.assert_array_equal(np.concatenate(got), want.mean_c)


def test_a_march_in_parts_is_the_march_bit_for_bit():
    rng = np.random.default_rng(3)
    forcing = rng.uniform(1.0, 20.0, (8, 50, 3)).astype(np.float32)
    film = rng.uniform(0.0, 1.0, (2, 11, 3)).astype(np.float32)
    inward, outward = rng.uniform(1e-4, 1e-3, (2, 8, 3)).astype(np.float32)
    parameters = rng.uniform(1e-3, 1e-2, (12, 3)).astype(np.float32)
    pot = PackedColumn(inward, outward, parameters, np.full(8, 0.125, np.float32))
    start = np.full((8, 3), 8, np.float32)
    mean, axis = np.empty((2, 50, 3), np.float32)
    ends = march(forcing, film, pot, start, 4, 60.0, (mean, axis, np.zeros(0)))
    by_hour = np.ascontiguousarray(forcing.transpose(1, 0, 2))
    run = March(film, pot, start, by_hour[0], 4, 60.0)
    for first, stop in ((0, 1), (1, 20), (20, 50)):
        got = np.empty((2, stop - first, 3), np.float32)
        run.add(by_hour[first : stop + 1], got[0], got[1], np.zeros(0))
        np.testing.assert_array_equal(got[0], mean[first:stop])
        np.testing.assert_array_equal(got[1], axis[first:stop])
    np.testing.assert_array_equal(run.ends().state, ends.state)


def test_a_formula_in_the_loop_works_in_single_precision():
    compiled = single(split_light)
    ghi = np.array([0.0, 12.0, 300.0, 950.0], np.float32)
    sine = np.array([0.0, 0.04, 0.5, 0.9], np.float32)
    want = split_light(ghi, sine)
    for i, pair in enumerate(zip(ghi, sine, strict=True)):
        got = compiled(*pair)
        # The polynomial's terms reach 16; products join sums in one rounding there.
        np.testing.assert_allclose(got, [x[i] for x in want], rtol=16 * 2.0**-21)
    types = compiled.nopython_signatures[0].return_type
    assert {str(t) for t in types.types} == {"float32"}


def test_forgetting_goes_on_from_part_to_part():
    rng = np.random.default_rng(1)
    unknown = rng.random((300, 4)) < 0.01
    unknown[100:200] = False
    want = Forgetting(20.5).add(300, unknown)
    parts = Forgetting(20.5)
    got = []
    for first, stop in ((0, 1), (1, 90), (90, 130), (130, 199), (199, 300)):
        lost = parts.add(stop - first, unknown[first:stop])
        got.append(
            np.zeros((stop - first, 4), bool)
            if lost is None
            else np.broadcast_to(lost, (stop - first, 4))
        )
    np.testing.assert_array_equal(np.concatenate(got), want)
    # By definition: unknown within 21 hours after an unknown hour or the beginning.
    for case in range(4):
        for hour in range(300):
            before = unknown[max(0, hour - 21) : hour + 1, case]
            assert want[hour, case] == (before.any() or hour < 21)
