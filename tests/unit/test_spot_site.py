"""Particulars of a spot: what each moves, and how effects that overlap are joined."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.core.errors import InputError
from climrisk.physics.humidity import rel_humidity_pct
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.modifiers import effects, optimistic, sited, sky_views, together
from climrisk.spot.site import KEYS, Site, parse_site, site_of
from climrisk.spot.transfer import prepare, spot_air_c, spot_climate
from climrisk.weather.selection import WeatherChoice, load_weather

OPEN_AIR = [k for k in KINDS if spot_kind(k).group == "open-air"]


@pytest.fixture(scope="module")
def prepared():
    return prepare(load_weather(WeatherChoice(demo=True, years=3)), ensemble(5))


def kind_with(kind, *pairs):
    return spot_kind(kind).with_site(parse_site(pairs))


def lowest(prepared, kind, weight):
    """Night minima of the middle members on nights of a regime, mean over nights."""
    index = prepared.nightly.index
    air = spot_air_c(prepared, kind).mean(axis=1)
    night = np.full(index[-1] + 1, np.inf)
    np.minimum.at(night, index, air)
    return night[weight(prepared.regimes.weight)].mean()


def still(weight):
    return weight > 0.8


def windy(weight):
    return weight < 0.02


#: What a keeper tells, of which kind, and whether still nights get warmer.
WARMER = [
    ("open-rail", "eaves=1.5", True),
    ("open-rail", "horizon=40", True),
    ("open-rail", "walls=2", True),
    ("yard-floor", "house=1", True),
    ("open-rail", "house=60", False),
    ("open-rail", "floor=0", False),
    ("wall-shelf", "floor=4", True),
    ("open-rail", "hollow=yes", False),
    ("open-rail", "shade=70%", True),
    ("heated-room", "set_back=14", False),
    ("heated-room", "heating=failed", False),
    ("heated-room", "heating_months=5-6", False),
    ("window-sill", "glass=single", False),
    ("window-sill", "glass=low-e", True),
    ("window-sill", "from_glass=40", True),
    ("window-sill", "from_glass=0", False),
    ("window-sill", "curtain=room-side", False),
    ("window-sill", "curtain=glass-side", True),
]


@pytest.mark.parametrize(("kind", "pair", "warmer"), WARMER)
def test_each_particular_moves_still_nights_its_way(prepared, kind, pair, warmer):
    usual = lowest(prepared, spot_kind(kind), still)
    changed = lowest(prepared, kind_with(kind, pair), still)
    assert (changed > usual + 0.05) if warmer else (changed < usual - 0.05)


#: What moves the warmest hours of July days instead.
WARMER_BY_DAY = [
    ("roofed-balcony", "facing=S", True),
    ("heated-room", "set_point=28", True),
    ("glasshouse", "vents=closed", True),
    ("glazed-balcony", "vents=closed", True),
    ("glasshouse", "shade=0", True),
    ("glasshouse", "shade=70%", False),
    ("roofed-balcony", "wet_floor=yes", False),
]


@pytest.mark.parametrize(("kind", "pair", "warmer"), WARMER_BY_DAY)
def test_each_particular_moves_july_days_its_way(prepared, kind, pair, warmer):
    july = prepared.seasons.month == 7

    def warmest(spot):
        air = spot_air_c(prepared, spot).mean(axis=1)[july]
        return np.quantile(air, 0.95)

    usual, changed = warmest(spot_kind(kind)), warmest(kind_with(kind, pair))
    assert (changed > usual + 0.05) if warmer else (changed < usual - 0.05)


def test_every_particular_is_tried():
    # Beside the air of the spot, these move its wind, its walls and its sky (below).
    elsewhere = {"screen", "insulation", "eaves_above"}
    tried = {pair.partition("=")[0] for _, pair, _ in WARMER + WARMER_BY_DAY}
    assert tried | elsewhere == set(KEYS)


@pytest.mark.parametrize("eaves", [0.2, 0.8, 2.0])
@pytest.mark.parametrize("kind", OPEN_AIR)
def test_a_roof_never_lowers_a_clear_nights_minimum(kind, eaves):
    usual = sited(spot_kind(kind), 44.0)
    roofed = sited(kind_with(kind, f"eaves={eaves}"), 44.0)
    assert roofed.still_winter[0] >= usual.still_winter[0]
    assert roofed.still_summer[0] >= usual.still_summer[0]
    assert roofed.sky_top < usual.sky_top


def test_open_air_spots_differ_little_where_nights_are_windy(prepared):
    found = [lowest(prepared, spot_kind(k), windy) for k in OPEN_AIR]
    assert max(found) - min(found) < 1.0
    calm = [lowest(prepared, spot_kind(k), still) for k in OPEN_AIR]
    assert max(calm) - min(calm) > 2.0


def test_walls_swap_with_the_hemisphere(prepared):
    for facing, other in (("N", "S"), ("NE", "SE")):
        north = sited(kind_with("wall-shelf", f"facing={facing}"), 44.0)
        south = sited(kind_with("wall-shelf", f"facing={other}"), -44.0)
        assert north.day_k == pytest.approx(south.day_k)
        assert north.evening_k == pytest.approx(south.evening_k)
    sunny = sited(kind_with("wall-shelf", "facing=S"), 44.0)
    shady = sited(kind_with("wall-shelf", "facing=N"), 44.0)
    assert sunny.day_k[0] > shady.day_k[0]
    assert sunny.evening_k[0] > shady.evening_k[0]


def test_heated_air_is_dry_in_winter_and_the_household_adds_a_little(prepared):
    climate = spot_climate(prepared, spot_kind("heated-room"))
    inside = rel_humidity_pct(climate.air_c, climate.dew_point_c)
    cold = prepared.weather.air_temp_c[:, 0] < 5
    # Outdoor air of 5 °C and 75 % has 28 % at 20 °C, of 35 % only 13 % (by formula);
    # a household adds up to 10 points.
    assert 10 < np.median(inside[cold]) < 45
    assert (climate.dew_point_c[cold] >= prepared.sky.dew_point_c[cold] - 1e-3).all()


def test_wet_floor_dampens_the_air(prepared):
    dry = spot_climate(prepared, spot_kind("roofed-balcony"))
    wet = spot_climate(prepared, kind_with("roofed-balcony", "wet_floor=yes"))
    more = (wet.dew_point_c - dry.dew_point_c).mean()
    assert 0.3 < more < 1.0


def test_insulation_of_the_wall_behind_moves_its_surface(prepared):
    bare = spot_climate(prepared, kind_with("recessed-balcony", "insulation=none"))
    good = spot_climate(prepared, kind_with("recessed-balcony", "insulation=good"))
    winter = prepared.seasons.month == 1
    assert (bare.surroundings_c - good.surroundings_c)[winter].mean() > 0.5


pairs = st.lists(st.tuples(st.floats(-4, 4), st.floats(0, 3)), min_size=1, max_size=5)


@given(pairs)
def test_effects_are_never_summed_in_full(found):
    mean, sd = together(found)
    ups = sorted((m for m, _ in found if m > 0), reverse=True)
    downs = sorted(m for m, _ in found if m < 0)
    by_hand = sum(ups[:1]) + sum(ups[1:]) / 2 + sum(downs[:1]) + sum(downs[1:]) / 2
    assert mean == pytest.approx(by_hand)
    assert sd <= math.sqrt(sum(s * s for _, s in found)) + 1e-9
    assert abs(mean) <= sum(abs(m) for m, _ in found) + 1e-9


def test_what_adds_up_too_well_is_flagged():
    assert not optimistic(sited(spot_kind("recessed-balcony"), 44.0))
    much = kind_with("open-rail", "eaves=3", "walls=3", "floor=6", "horizon=60")
    built_up = replace(much, still_winter=(2.5, 1.0))
    assert optimistic(sited(built_up, 44.0))
    assert [e.name for e in effects(much)] == ["sky", "height"]


def test_sky_views_follow_geometry():
    open_rail = spot_kind("open-rail")
    # Eaves as far out as they are high hide 45 degrees from the zenith.
    top, wall = sky_views(kind_with("open-rail", "eaves=1", "eaves_above=1"))
    assert top == pytest.approx(open_rail.sky_top * (1 - math.sin(math.pi / 4)))
    assert wall == pytest.approx(open_rail.sky_wall * math.cos(math.pi / 4))
    # A uniform horizon of 30 degrees leaves cos2 = 0.75 of a level top's sky.
    top, wall = sky_views(kind_with("open-rail", "horizon=30"))
    assert top == pytest.approx(open_rail.sky_top * 0.75)
    assert wall == pytest.approx(open_rail.sky_wall * 0.1955 / 0.5, abs=1e-4)


@pytest.mark.parametrize(
    ("pair", "words"),
    [
        ("facing=up", "no direction"),
        ("facing", "not KEY=VALUE"),
        ("colour=red", "unknown particular"),
        ("floor=1.5", "not a whole number"),
        ("floor=-2", "floor out of range"),
        ("shade=120%", "shade out of range"),
        ("hollow=maybe", "neither yes nor no"),
        ("glass=triple-ish", "unknown glass"),
        ("heating_months=0-13", "no months"),
        ("eaves=nan", "not a number"),
    ],
)
def test_wrong_particulars_are_told_in_one_line(pair, words):
    with pytest.raises(InputError, match=words) as error:
        parse_site([pair])
    assert "\n" not in str(error.value)


def test_twice_told_is_refused():
    with pytest.raises(InputError, match="is given twice"):
        parse_site(["floor=1", "floor=2"])


def test_option_goes_before_home_file():
    home = Site(facing_deg=90.0, floor=2)
    both = site_of({"floor": 4}, where="--site").over(home)
    assert both == Site(facing_deg=90.0, floor=4)
    assert set(KEYS) >= {"facing", "floor", "heating_months"}


def test_a_regime_told_from_less_is_less_certain():
    """Wind and cloud, one of them, or the evening's cooling alone."""
    weather = load_weather(WeatherChoice(demo=True, years=1))
    spreads = []
    for left_out in ((), ("cloud_cover_frac",), ("cloud_cover_frac", "wind_speed_m_s")):
        values = {k: v for k, v in weather.values.items() if k not in left_out}
        regimes = prepare(replace(weather, values=values), ensemble(1)).regimes
        spreads.append(regimes.spread.mean())
        full = prepare(weather, ensemble(1)).regimes.weight
        # Told from less, it still knows most still nights from windy ones.
        assert np.corrcoef(full, regimes.weight)[0, 1] > 0.5
    assert spreads == sorted(spreads)
    assert spreads[0] < spreads[-1]
