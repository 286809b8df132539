"""Sun at a spot: facing, eaves, horizon, walls, cloth and the hemispheres."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from climrisk.physics.solar import (
    SunPath,
    beam_and_diffuse,
    clear_sky_ghi_w_m2,
    sun_path,
)
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.site import Site
from climrisk.spot.sky import Sky
from climrisk.spot.sunlight import (
    _sky_views,
    direct_sun,
    reach,
    sunlight,
    visible,
)
from climrisk.spot.surroundings import Around, Surrounded, around
from tests.published.rows import expected, inputs

YEAR = np.arange("2021-01-01", "2022-01-01", 60, dtype="datetime64[m]")
OPEN = Around(0, 0.0, 1.5, 1.5, 0.0, 1.0)


def clear_sky(latitude):
    sun = sun_path(YEAR, latitude, 0.0)
    beam, diffuse = beam_and_diffuse(clear_sky_ghi_w_m2(sun)[:, None], sun)
    none = np.zeros_like(beam)
    return Sky(none, none, none, none, lambda: (beam, diffuse), sun, ())


def with_site(name, **fields):
    return replace(spot_kind(name), site=Site(**fields))


def one_hour(elevation, azimuth, beam=800.0, diffuse=100.0):
    sun = SunPath.at(np.array([elevation]), np.array([azimuth]))
    x = np.array([[0.0]])
    return Sky(x, x, x, x, lambda: (x + beam, x + diffuse), sun, ())


@pytest.mark.parametrize("name", KINDS)
def test_nothing_told_keeps_the_shares_of_the_kind(name):
    kind, sky = spot_kind(name), one_hour(40.0, 150.0)
    wall, top = sunlight(kind, sky, north=True)
    # By hand, from the two shares: beam 800, diffuse 100, 40 degrees, albedo 0.2.
    level = kind.beam_frac * 800 * np.sin(np.deg2rad(40)) + kind.diffuse_frac * 100
    mean = kind.beam_frac * 800 * np.cos(np.deg2rad(40)) / np.pi
    spread = 0.5 * kind.diffuse_frac * 100 + 0.1 * level
    assert top[0, 0] == pytest.approx(level)
    assert wall[0, 0] == pytest.approx(mean + spread)


def test_mean_beam_on_an_upright_cylinder():
    # Geometry: shadow D H over wall pi D H, by the shadow and by integration.
    kind = replace(spot_kind("as-measured"), diffuse_frac=0.0)
    sky = one_hour(inputs("SO21")["elevation_deg"], 180.0, 1.0, 0.0)
    wall, top = sunlight(kind, sky, north=True)
    assert wall[0, 0] - 0.1 * top[0, 0] == pytest.approx(expected("SO21"), abs=1e-5)
    around_deg = np.deg2rad(np.arange(0, 360, 0.5))
    mean = np.maximum(np.cos(around_deg), 0).mean() * np.cos(np.deg2rad(30))
    assert mean == pytest.approx(expected("SO22"), abs=1e-5)


def to_the_south(place, sun):
    return visible([Surrounded(place, 180.0)], sun)[:, 0].tolist()


@pytest.mark.parametrize(
    ("elevation", "azimuth", "seen"),
    [
        (44.0, 180.0, 1.0),  # straight ahead, below the 45 degrees of the edge
        (46.0, 180.0, 0.0),
        # 60 degrees aside the profile angle of 30 degrees is atan(tan 30 / 0.5) = 49.
        (30.0, 120.0, 0.0),
        (25.0, 120.0, 1.0),  # atan(tan 25 / 0.5) = 43
        (20.0, 85.0, 0.0),  # behind the wall
        (4.0, 180.0, 0.0),  # behind the houses opposite
    ],
)
def test_eaves_shade_by_the_profile_angle(elevation, azimuth, seen):
    place = Around(1, 1.0, 1.0, 1.5, 5.0, 1.0)
    sun = SunPath.at(np.array([elevation]), np.array([azimuth]))
    assert to_the_south(place, sun) == [seen]


def test_side_walls_hide_the_sides():
    sun = SunPath.at(np.full(3, 10.0), np.array([180.0, 130.0, 230.0]))
    half = replace(OPEN, walls=2, eaves_m=1.5)
    assert to_the_south(half, sun) == [1.0, 0.5, 0.5]
    assert to_the_south(replace(half, walls=3), sun) == [1.0, 0.0, 0.0]


@pytest.mark.parametrize(
    ("place", "share"),
    [
        (OPEN, 1.0),
        # A horizon all around leaves cos² of its height.
        (replace(OPEN, horizon_deg=30.0), np.cos(np.deg2rad(30)) ** 2),
        (replace(OPEN, walls=1), 0.5),
        # Long eaves leave (1 - D / sqrt(D² + H²)) / 2 of a level top's view.
        (replace(OPEN, walls=1, eaves_m=1.0, eaves_above_m=1.0), (1 - 2**-0.5) / 2),
    ],
)
def test_views_of_the_sky_agree_with_exact_ones(place, share):
    assert _sky_views(place, 180.0)[0][0] == pytest.approx(share, abs=0.006)


def test_the_wall_of_a_pot_sees_less_sky_over_a_horizon():
    # The horizon rule for upright faces, row LW15: (1/pi)((pi/2 - b) - sin b cos b).
    b = np.deg2rad(30)
    exact = ((np.pi / 2 - b) - np.sin(b) * np.cos(b)) / np.pi
    got = _sky_views(replace(OPEN, horizon_deg=30.0), 0.0)[1][0]
    assert got == pytest.approx(exact, abs=0.004)


@pytest.mark.parametrize("name", ["open-rail", "roofed-balcony", "wall-shelf"])
def test_northern_and_southern_walls_swap_with_the_hemisphere(name):
    north, south = clear_sky(44.0), clear_sky(-44.0)

    def light(sky, facing, *, is_north):
        kind = with_site(name, facing_deg=facing)
        top = sunlight(kind, sky, north=is_north)[1]
        return top.sum(), direct_sun(kind, sky, north=is_north).sum()

    sunny, hours = light(north, 180.0, is_north=True)
    dull, few = light(north, 0.0, is_north=True)
    assert sunny > 1.2 * dull
    assert hours > 1.5 * few
    # The same sky mirrored, east to east: exactly the same light.
    mirrored = replace(
        north,
        sun=SunPath.at(north.sun.elevation_deg, (180 - north.sun.azimuth_deg) % 360),
    )
    assert light(mirrored, 0.0, is_north=False) == pytest.approx((sunny, hours))
    assert light(mirrored, 180.0, is_north=False) == pytest.approx((dull, few))
    # The real sky of the other hemisphere: the sun stays north of the equator for 7 of
    # 182 days longer, which is 4 %, and is seen at mid-hour only.
    assert light(south, 0.0, is_north=False) == pytest.approx((sunny, hours), rel=0.06)
    assert light(south, 180.0, is_north=False)[0] == pytest.approx(dull, rel=0.06)


def test_one_world_is_the_mean_of_all_facings_where_none_is_told():
    # Of eight facings three look within 90 degrees of a sun in the south: 3 / 8.
    sky = one_hour(30.0, 180.0)
    eaves = with_site("roofed-balcony", eaves_m=0.5)
    for north in (True, False):
        assert reach(eaves, sky, north=north).beam[0, 0] == pytest.approx(3 / 8)
    kind = with_site("roofed-balcony", eaves_m=0.5, facing_deg=180.0)
    assert reach(kind, sky, north=False).beam[0, 0] == 1.0
    # A shelf is on a wall that faces the sun: the south's looks north.
    shelf = with_site("wall-shelf", eaves_m=0.2)
    assert reach(shelf, sky, north=True).beam[0, 0] == 1.0
    assert reach(shelf, sky, north=False).beam[0, 0] == 0.0


def light_of(members, name="roofed-balcony", **fields):
    """Return the light on level ground over a clear year, a number for each member."""
    top = sunlight(
        with_site(name, **fields),
        clear_sky(44.0),
        north=True,
        ensemble=ensemble(members),
    )[1]
    return top.sum(axis=0)


def test_members_differ_by_what_is_not_told_and_each_particular_narrows_it():
    spread = [
        np.ptp(light_of(40, **fields))
        for fields in (
            {},
            {"facing_deg": 90.0},
            {"facing_deg": 90.0, "eaves_m": 0.5},
            {"facing_deg": 90.0, "eaves_m": 0.5, "horizon_deg": 10.0},
        )
    ]
    assert spread == sorted(spread, reverse=True)
    assert spread[0] > 0.5 * np.median(light_of(40))
    assert spread[-1] == 0
    # Side walls at the left or the right, where it is not told at which.
    all_else = {"facing_deg": 90.0, "eaves_m": 0.5, "horizon_deg": 10.0}
    two = light_of(40, walls=2, **all_else)
    assert len(np.unique(two)) == 2
    assert light_of(1, walls=2, **all_else)[0] == pytest.approx(two.mean(), rel=1e-6)


@pytest.mark.parametrize("fields", [{}, {"horizon_deg": 10.0}, {"eaves_m": 0.5}])
@pytest.mark.parametrize("name", ["roofed-balcony", "roofed-walkway", "open-rail"])
def test_telling_the_usual_hardly_moves_the_light(name, fields):
    """One world and the members agree, whether by the kind's shares or by geometry."""
    if name == "open-rail" and "eaves_m" in fields:
        fields = {"walls": 0}
    if name == "roofed-walkway" and "eaves_m" in fields:
        fields = {"eaves_m": 0.75}
    one, many = light_of(1, name, **fields)[0], light_of(40, name, **fields).mean()
    # The shares of a kind, which one world takes where nothing is told, are estimates.
    assert many == pytest.approx(one, rel=0.12 if fields else 0.2)
    if "walls" not in fields:
        assert one == pytest.approx(light_of(1, name)[0], rel=0.2)


def test_a_horizon_puts_no_wall_behind_an_open_rail():
    sky = one_hour(30.0, 10.0)
    rail = with_site("open-rail", horizon_deg=10.0)
    # Half the chance of no wall, and with one the facings within 90 degrees: 4 of 8.
    assert reach(rail, sky, north=True).beam[0, 0] == pytest.approx((1 + 4 / 8) / 2)
    bare = with_site("open-rail", horizon_deg=10.0, walls=0)
    assert reach(bare, sky, north=True).beam[0, 0] == 1.0


def test_wider_eaves_and_higher_houses_never_let_in_more():
    sky = clear_sky(44.0)

    def year(**fields):
        kind = with_site("roofed-balcony", facing_deg=150.0, **fields)
        return sunlight(kind, sky, north=True)[1].sum()

    by_eaves = [year(eaves_m=d) for d in (0.0, 0.5, 1.0, 2.0, 4.0)]
    by_houses = [year(horizon_deg=h) for h in (0, 10, 20, 40, 70)]
    assert by_eaves == sorted(by_eaves, reverse=True)
    assert by_houses == sorted(by_houses, reverse=True)
    assert by_eaves[0] > 2 * by_eaves[-1]


def test_eaves_shut_out_the_summer_sun_and_let_in_the_winter_s():
    sky = clear_sky(44.0)
    month = YEAR.astype("datetime64[M]").astype(int) % 12 + 1
    kind = with_site("wall-shelf", facing_deg=180.0, eaves_m=1.5, horizon_deg=0.0)
    hours = direct_sun(kind, sky, north=True)[:, 0]
    assert hours[month == 12].sum() > 150
    assert hours[month == 6].sum() < 60


def test_a_cloth_takes_its_share_and_nothing_else():
    sky = one_hour(40.0, 150.0)
    bare = sunlight(spot_kind("open-rail"), sky, north=True)
    shaded = sunlight(with_site("open-rail", shade_frac=0.4), sky, north=True)
    for a, b in zip(shaded, bare, strict=True):
        assert a == pytest.approx(0.6 * b)


def test_better_glass_lets_in_less_light():
    sky = one_hour(20.0, 180.0)

    def top(**fields):
        kind = with_site("window-sill", **fields)
        return sunlight(kind, sky, north=True)[1][0, 0]

    for facing in ({}, {"facing_deg": 180.0}):
        usual = top(**facing)
        assert top(glass="double", **facing) == pytest.approx(usual)
        # Shares from memory: 0.85, 0.75 and 0.6.
        assert top(glass="single", **facing) == pytest.approx(usual * 0.85 / 0.75)
        assert top(glass="low-e", **facing) == pytest.approx(usual * 0.6 / 0.75)
    outdoors = sunlight(with_site("open-rail", glass="low-e"), sky, north=True)
    assert outdoors[1] == pytest.approx(
        sunlight(spot_kind("open-rail"), sky, north=True)[1]
    )


def test_direct_sun_by_the_share_of_the_kind_and_by_geometry():
    # WMO: sunshine is at least 120 W/m2 facing the sun.
    sky, dim = one_hour(40.0, 180.0), one_hour(40.0, 180.0, beam=119.0)
    kind = spot_kind("roofed-balcony")
    assert direct_sun(kind, sky, north=True)[0, 0] == kind.beam_frac
    assert direct_sun(kind, dim, north=True)[0, 0] == 0
    sited = with_site("roofed-balcony", facing_deg=180.0, eaves_m=0.5)
    assert direct_sun(sited, sky, north=True)[0, 0] == 1
    assert np.isnan(direct_sun(sited, one_hour(40.0, 180.0, np.nan), north=True)).all()


@pytest.mark.parametrize("name", KINDS)
def test_every_kind_has_its_surroundings(name):
    place = around(spot_kind(name))
    assert 0 <= place.walls <= 3
    assert 0 < place.passes <= 1
    assert around(with_site(name, walls=2, eaves_m=3.0)).eaves_m == 3.0


def test_a_wall_stores_the_sun_that_reaches_it():
    # The building before a southern balcony is warmer by evening than before a
    # northern one, all else alike: only the light at the spot differs.
    from climrisk.spot.ensemble import ensemble
    from climrisk.spot.transfer import prepare, spot_climate
    from tests.made_weather_series import climate

    prepared = prepare(climate(years=1, measured_at="station"), ensemble(1))

    def warmth(facing):
        kind = with_site("roofed-balcony", facing_deg=facing, eaves_m=0.5)
        made = spot_climate(prepared, kind)
        return (made.surroundings_c - made.air_c)[21::24].mean()

    assert warmth(180.0) > warmth(0.0) + 0.2
