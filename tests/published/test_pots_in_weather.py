"""Pots in made weather against reference runs, measurements and the trade's rules."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import root_zone
from climrisk.spot.climate import SpotClimate

SIGMA, ZERO = 5.670374419e-8, 273.15


def climate(air, dew, wind, *, wall_sky=0.0, top_sky=0.0, cloud=0.0):
    """Nights without sun: part of the sky seen, the rest at air temperature.

    Clear-sky emissivity by Berdahl & Martin 1984, cloud by Crawford & Duchon 1999.
    """
    air = np.asarray(air, float)[:, None]
    full = np.ones_like(air)
    black = SIGMA * (air + ZERO) ** 4
    emissivity = 0.711 + 0.56 * dew / 100 + 0.73 * (dew / 100) ** 2
    emissivity = cloud + (1 - cloud) * emissivity
    hours = np.arange(len(air)) * np.timedelta64(60, "m")
    return SpotClimate(
        np.datetime64("2020-12-01", "m") + hours,
        air,
        np.minimum(dew * full, air),
        wind * full,
        1.6 * wind * full,
        (wall_sky * emissivity + 1 - wall_sky) * black,
        (top_sky * emissivity + 1 - top_sky) * black,
        0 * full,
        0 * full,
        air,
        air,
        air,
        rain_reaches=False,
        pressure_pa=101_325.0,
    )


def night(dew, wind, days=12):
    """Air 10 ± 6 °C, wall sees 0.3 of the sky, top 0.5."""
    hours = np.arange(24 * days)
    air = 10 + 6 * np.sin(2 * np.pi * (hours - 9) / 24)
    return climate(air, dew, wind, wall_sky=0.3, top_sky=0.5)


CALM, DRY_WIND = night(2.0, 0.5), night(-4.0, 1.5)


def core(weather, kind, medium, *, diameter=12, height=11.0, **more):
    pot = FilledPot.named(kind, diameter, medium, height_cm=height)
    return root_zone(weather, pot, **more, with_axis=True).axis_c[-24:, 0]


# -- reference runs of another code (r-z, alternating directions, 10 min steps) --------

#: Core minimum of a 12 cm pot, 11 cm deep: calm in plastic, then dry wind in plastic,
#: terracotta and net pot. Expected good to 0.5 K in plastic, 1 K where walls evaporate.
MINIMA = {
    "sphagnum": (2.3, 2.3, 0.7, 1.0),
    "peat-mix": (2.45, 2.4, 0.8, 1.2),
    "akadama": (2.2, 2.2, 0.8, 1.1),
    "expanded-clay": (1.9, 2.2, 1.4, 1.6),
    "pine-bark-fine": (2.4, 2.5, 1.3, 1.5),
    "sand": (1.9, 2.0, 0.8, 1.1),
    "grit": (1.9, 2.2, 1.6, 1.7),
    "lava-rock": (1.9, 2.4, 2.0, 2.1),
    "pine-bark-coarse": (2.0, 2.4, 1.95, 2.1),
}


@pytest.mark.parametrize("setup", ["screening", "full"])
@pytest.mark.parametrize("medium", MINIMA)
def test_lowest_core_of_a_clear_night(medium, setup):
    calm, plastic, clay, net = MINIMA[medium]
    for weather, kind, value, within in (
        (CALM, "thin-plastic", calm, 0.5),
        (DRY_WIND, "thin-plastic", plastic, 0.5),
        (DRY_WIND, "terracotta", clay, 1.0),
        (DRY_WIND, "net-pot", net, 1.0),
    ):
        got = core(weather, kind, medium, setup=setup).min()
        assert got == pytest.approx(value, abs=within), kind


def test_hours_until_a_wet_core_freezes():
    """Air falls from 4 to -3 ± 3 °C and stays: hours until the core is below -0.5.

    Good to 30 % (specification: hours to freeze), for a 20 cm pot; hours in which the
    grit of the reference was through are not, as the hour of the day is not told.
    """
    hours = np.arange(24 * 18)
    cold = -3 + 3 * np.sin(2 * np.pi * (hours - 9) / 24)
    air = np.where(hours < 24 * 12, 4.0, cold)
    frost = climate(air, -4.0, 0.5, wall_sky=0.2, top_sky=0.4, cloud=0.5)
    waited = {}
    for medium in ("grit", "lava-rock", "50 akadama + 50 grit", "pine-bark-coarse"):
        pot = FilledPot.named("thin-plastic", 20, medium)
        axis = root_zone(frost, pot, setup="full", with_axis=True).axis_c[24 * 12 :, 0]
        waited[medium] = int(np.flatnonzero(axis < -0.5)[0])
    wet = FilledPot.named("thin-plastic", 20, "pine-bark-fine")
    axis = root_zone(frost, wet, setup="full", with_axis=True).axis_c[24 * 12 :, 0]
    assert list(waited.values()) == sorted(waited.values())
    assert waited["lava-rock"] == pytest.approx(32, rel=0.3)
    assert waited["50 akadama + 50 grit"] == pytest.approx(37, rel=0.3)
    assert waited["pine-bark-coarse"] == pytest.approx(69, rel=0.3)
    assert axis[:84].min() > -0.5


FROST_MEDIA = ("grit", "lava-rock", "akadama", "pine-bark-coarse", "pine-bark-fine")


@pytest.mark.parametrize("medium", FROST_MEDIA)
@pytest.mark.parametrize("swing", [0.0, 3.0])
def test_screening_freezes_as_the_whole_pot_does(medium, swing):
    """Air falls from 4 to -3 °C and stays.

    The first three days agree within 0.5 K, the error of a night minimum in plastic by
    the specification; hours until the mean of fine bark is below -0.5 °C within 30 %,
    its error of hours to freeze. The bark takes a day: 0.3 of its volume is water.
    """
    hours = np.arange(24 * 15)
    cold = -3 + swing * np.sin(2 * np.pi * (hours - 9) / 24)
    frost = climate(np.where(hours < 24 * 12, 4.0, cold), -4.0, 0.5)
    pot = FilledPot.named("thin-plastic", 12, medium)
    quick, whole = (
        root_zone(frost, pot, setup=setup).mean_c[24 * 12 :, 0]
        for setup in ("screening", "full")
    )
    assert quick.mean() == pytest.approx(whole.mean(), abs=0.5)
    if medium == "pine-bark-fine":
        waited = [int(np.flatnonzero(x < -0.5)[0]) for x in (quick, whole)]
        assert waited[0] == pytest.approx(waited[1], rel=0.3)
        assert min(waited) > 20


# -- measurements ----------------------------------------------------------------------


def room(air, humidity, wind):
    gamma = np.log(humidity) + 17.62 * air / (243.12 + air)
    dew = 243.12 * gamma / (17.62 - gamma)
    return climate(np.full(24 * 10, float(air)), dew, wind)


@pytest.mark.parametrize("wind", [0.3, 0.5, 1.0])
def test_wet_clay_pellets_in_a_dry_room(wind):
    # One grower's run: 8.9 cm pot of wet expanded clay, 23.4 °C, 35 %, fan low: core
    # 1.9 K below air. Reference code: 1.5 (wetness 0.7) to 1.8 K (1.0).
    pot = FilledPot.named("thin-plastic", 8.9, "expanded-clay", wetness="wet").numbers
    below = [
        23.4
        - root_zone(
            room(23.4, 0.35, wind),
            replace(pot, top_wetness=b),
            setup="full",
            with_axis=True,
        ).axis_c[-1, 0]
        for b in (0.7, 1.0)
    ]
    assert below[0] == pytest.approx(1.5, abs=0.25)
    assert below[1] == pytest.approx(1.8, abs=0.25)
    assert below[1] == pytest.approx(1.9, abs=0.4)


def test_unglazed_clay_in_a_room():
    # One grower's note: clay pot at 18 °C in a room of 21 °C, humidity not told (50 %
    # taken). The plastic pot beside it was at 23 °C, which no balance explains.
    clay = FilledPot.named("terracotta", 12, "peat-mix", wetness="wet")
    core_c = root_zone(room(21, 0.5, 0.2), clay, setup="full", with_axis=True).axis_c[
        -1, 0
    ]
    assert core_c == pytest.approx(18.0, abs=1.0)


def test_a_white_pot_is_cooler_in_summer_than_a_black_one():
    # Nurseries in Ohio and Tennessee: white 4.4 to 6.7 K cooler (USDA-ARS), 11.3 L of
    # pine bark up to 7 K at the maximum (Witcher 2020). The day is made: 23 to 33 °C,
    # 280 W/m2 at noon on the wall all around, which a clear day of 36° north gives.
    hours = np.arange(24 * 8)
    air = 28 + 5 * np.sin(2 * np.pi * (hours - 9) / 24)
    sun = np.maximum(0, np.sin(2 * np.pi * (hours - 6) / 24))[:, None]
    day = climate(air, 20.0, 1.5, wall_sky=0.4, top_sky=0.5)
    day = replace(day, solar_wall_w_m2=280 * sun**0.5, solar_top_w_m2=450 * sun)
    highest = {
        color: float(
            root_zone(
                day,
                FilledPot.named("thin-plastic", 25, "pine-bark-fine", color=color),
                setup="full",
            )
            .mean_c[-24:]
            .max()
        )
        for color in ("black", "white")
    }
    assert 4.4 <= highest["black"] - highest["white"] <= 7.0


def test_size_damps_the_day_but_less_than_measured():
    # Townend & Dickinson 1995 (abstract): swings of 14.6, 11.6 and 7.7 K in 0.19, 0.55
    # and 1.9 L, in lit chambers. Without their light the ratios are weaker; only the
    # direction is asked.
    swing = []
    for litres in (0.19, 0.55, 1.9):
        width = (4 * litres * 1e3 / (0.9 * np.pi)) ** (1 / 3)
        pot = FilledPot.named("thin-plastic", width, "peat-mix")
        mean = root_zone(CALM, pot, setup="full").mean_c[-24:, 0]
        swing.append(mean.max() - mean.min())
    assert swing[0] > swing[1] > swing[2]
    assert swing[1] / swing[0] > 11.6 / 14.6
    assert swing[2] / swing[0] > 7.7 / 14.6


# -- the trade -------------------------------------------------------------------------


def test_lava_is_warmer_than_moist_clay_in_dry_wind_and_not_in_a_calm_humid_night():
    # Common practice, no source: lava stays warmer than moist clay at night. The
    # reference finds it in dry or moving air only.
    for kind, least in (("thin-plastic", 0.05), ("terracotta", 0.3), ("net-pot", 0.3)):
        lava = core(DRY_WIND, kind, "lava-rock", setup="full").min()
        assert lava > core(DRY_WIND, kind, "expanded-clay", setup="full").min() + least
    calm = [
        core(CALM, "thin-plastic", m, setup="full").min()
        for m in ("lava-rock", "expanded-clay")
    ]
    assert calm[0] - calm[1] < 0.1


def test_unglazed_clay_is_colder_than_plastic():
    # Common practice, no source.
    for medium in ("sphagnum", "expanded-clay", "pine-bark-fine"):
        for weather in (CALM, DRY_WIND):
            clay = core(weather, "terracotta", medium, setup="full")
            assert (
                clay.mean() < core(weather, "thin-plastic", medium, setup="full").mean()
            )


def test_a_bigger_pot_is_later_and_swings_less():
    # Common practice, no source.
    small, big = (
        core(
            CALM,
            "thin-plastic",
            "pine-bark-fine",
            diameter=d,
            height=None,
            setup="full",
        )
        for d in (10, 30)
    )
    assert np.ptp(big) < np.ptp(small)
    assert np.argmin(big) > np.argmin(small)


# -- laws that hold for any pot --------------------------------------------------------

POTS = st.builds(
    FilledPot.named,
    st.sampled_from(["thin-plastic", "terracotta", "self-watering", "net-pot"]),
    st.floats(6, 30),
    st.sampled_from(list(MINIMA)),
)
SETTINGS = settings(max_examples=25, deadline=None)


def short(air_shift=0.0, sky=0.3, dew=-2.0):
    hours = np.arange(24 * 6)
    air = 8 + air_shift + 5 * np.sin(2 * np.pi * (hours - 9) / 24)
    return climate(air, dew, 0.8, wall_sky=sky, top_sky=sky)


def lowest(weather, pot, setup):
    return float(root_zone(weather, pot, setup=setup, dtype=float).mean_c[-48:].min())


@SETTINGS
@given(POTS, st.floats(0.5, 12), st.sampled_from(["screening", "full"]))
def test_colder_air_never_warms_the_minimum(pot, fall, setup):
    assert lowest(short(-fall), pot, setup) <= lowest(short(), pot, setup) + 1e-6


@SETTINGS
@given(POTS, st.floats(0, 0.4), st.sampled_from(["screening", "full"]))
def test_more_sky_never_warms_a_clear_night(pot, sky, setup):
    more = lowest(short(sky=sky + 0.1), pot, setup)
    assert more <= lowest(short(sky=sky), pot, setup) + 1e-6


@SETTINGS
@given(POTS, st.floats(0.1, 0.9), st.sampled_from(["screening", "full"]))
def test_in_dry_air_a_wetter_surface_is_colder(pot, wetness, setup):
    numbers = [
        replace(pot.numbers, top_wetness=w, wall_wetness=0.5 * w)
        for w in (wetness, wetness + 0.1)
    ]
    dry = short(dew=-10.0)
    means = [
        float(root_zone(dry, n, setup=setup, dtype=float).mean_c[-48:].mean())
        for n in numbers
    ]
    assert means[1] <= means[0] + 1e-6


@SETTINGS
@given(POTS, st.floats(0, 0.5), st.sampled_from(["screening", "full"]))
def test_without_sun_a_pot_stays_between_its_surroundings(pot, sky, setup):
    weather = short(sky=sky)
    mean = root_zone(weather, pot, setup=setup, dtype=float).mean_c[-48:]
    # No colder than the sky over the coldest air (the wet bulb lies above it), and no
    # warmer than the warmest air.
    emissivity = 0.711 + 0.56 * -2 / 100 + 0.73 * 0.02**2
    sky_c = (3.0 + ZERO) * emissivity**0.25 - ZERO
    assert mean.min() > sky_c
    assert mean.max() < 13.0 + 1e-6
