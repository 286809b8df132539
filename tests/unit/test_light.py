"""Light by month, hours of direct sun, and the first sun after moving out."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from climrisk.commands.shared.light import light
from climrisk.exposure.light import PHOTONS_UMOL_J, daily_light_mol_m2, month_light
from climrisk.physics.solar import (
    SunPath,
    beam_and_diffuse,
    clear_sky_ghi_w_m2,
    sun_path,
)
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.site import Site
from climrisk.spot.sky import Sky
from climrisk.spot.sunlight import reach, sunlight
from climrisk.spot.transfer import prepare, spot_climate
from climrisk.weather.series import WeatherSeries
from tests.made_weather_series import climate

A_YEAR = np.arange("2021-01-01", "2022-01-01", 60, dtype="datetime64[m]")
NOTHING = np.zeros((1, 1))
ONE_HOUR = Sky(
    *(NOTHING,) * 4,
    lambda: (NOTHING, NOTHING),
    SunPath.at(np.array([30.0]), np.array([180.0])),
    (),
)


def light_of(kind, out="05-10", *, cloud=0.0, latitude=44.0, members=1):
    weather = climate(years=1, latitude=latitude, measured_at="station")
    values = {k: v[:, 0] for k, v in weather.values.items()}
    values["cloud_cover_frac"] = np.full(len(weather), cloud)
    clear = WeatherSeries.build(
        weather.time, values, place=weather.place, source=weather.source
    )
    prepared = prepare(clear, ensemble(members))
    return light(spot_climate(prepared, kind), prepared, kind, out)


def sited(name, **particulars):
    return replace(spot_kind(name), site=Site(**particulars))


def test_daily_light_by_hand():
    # 100 W/m2 day and night: 8.64 MJ of which 0.455 are photosynthetic, 4.57 mol/MJ.
    assert daily_light_mol_m2(np.array(100.0)) == pytest.approx(8.64 * 0.455 * 4.57)
    # Usual conversions of sunlight lie between 2.0 and 2.1 µmol/J (Meek et al. 1984,
    # Agron. J. 76:939: 2.04; from memory).
    assert 2.0 <= PHOTONS_UMOL_J <= 2.1


def test_months_are_means_of_their_own_known_hours():
    month = np.repeat([1, 2], 48)
    sun = np.where(month == 1, 100.0, 50.0)[:, None] * np.ones((1, 3))
    sun[:24] = np.nan
    direct = np.where(np.arange(96) % 24 < 6, 1.0, 0.0)[:, None]
    hour = np.arange(96) % 24 * 1.0
    by_month = month_light(sun, direct, month, hour)
    assert by_month[0].sun_by_hour.tolist() == [1.0] * 6 + [0.0] * 18
    assert np.isnan(by_month[2].sun_by_hour).all()
    assert by_month[0].daily_light_mol_m2 == pytest.approx(
        daily_light_mol_m2(np.full(3, 100.0))
    )
    assert by_month[1].daily_light_mol_m2 == pytest.approx(
        daily_light_mol_m2(np.full(3, 50.0))
    )
    assert by_month[0].direct_sun_h == pytest.approx([6.0])
    assert np.isnan(by_month[2].daily_light_mol_m2).all()


def test_an_open_clear_sky_gives_what_clear_skies_give():
    # Cloudless daily sums at 44 degrees are about 30 MJ/m2 in June and 7 in December
    # (clear-sky 0.75 Ra, FAO-56 eq. 37, by hand: 0.75 x 41.6 = 31 and 0.75 x 10.5 = 8).
    open_sky = light_of(sited("as-measured", horizon_deg=0.0))
    june, december = (
        open_sky.months[m].daily_light_mol_m2.mid / PHOTONS_UMOL_J for m in ("6", "12")
    )
    assert june == pytest.approx(31, rel=0.08)
    assert december == pytest.approx(7.5, rel=0.15)
    # Days of 15.4 and 8.9 hours (FAO-56 eq. 34), less the low sun below 120 W/m2.
    assert 13 <= open_sky.months["6"].direct_sun_h.mid <= 15.4
    assert 6.5 <= open_sky.months["12"].direct_sun_h.mid <= 8.9


def test_facing_decides_the_light_and_is_told_in_the_result():
    south = light_of(sited("roofed-balcony", facing_deg=180.0))
    north = light_of(sited("roofed-balcony", facing_deg=0.0))
    assert south.told_from == "geometry"
    assert south.facing_deg == 180.0
    for m in ("10", "12", "2"):
        assert south.months[m].direct_sun_h.mid > 3
        assert north.months[m].direct_sun_h.mid == 0
    # In the southern half the northern side has the sun.
    mirrored = light_of(sited("roofed-balcony", facing_deg=0.0), latitude=-44.0)
    assert mirrored.months["6"].direct_sun_h.mid > 3


def test_nothing_told_is_told_from_the_share_and_says_so():
    kind = spot_kind("roofed-balcony")
    got = light_of(kind)
    assert got.told_from == "share"
    assert got.facing_deg is None
    assert any("which way it faces" in note for note in got.notes)
    open_sky = light_of(sited("as-measured", horizon_deg=0.0))
    assert got.months["6"].direct_sun_h.mid == pytest.approx(
        kind.beam_frac * open_sky.months["6"].direct_sun_h.mid, abs=0.1
    )
    eaves = light_of(sited("roofed-balcony", eaves_m=1.0), members=20)
    assert eaves.facing_deg is None
    assert (
        "the range covers what is not known: which way it faces and how high the "
        "horizon is" in eaves.notes
    )
    june = eaves.months["6"].daily_light_mol_m2
    assert june.high > 1.5 * june.low


def test_the_first_sun_warns_where_there_is_sun_and_only_there():
    sunny = light_of(sited("open-rail", facing_deg=180.0), out="05-10").first_sun
    assert list(sunny.months) == ["5", "6", "7"]
    assert sunny.warn
    assert "full shade" in sunny.sentence
    assert f"{sunny.months['5']:.1f} h in May" in sunny.sentence
    shade = light_of(sited("roofed-balcony", facing_deg=0.0, eaves_m=4.0)).first_sun
    assert shade.warn is False
    assert "full shade" not in shade.sentence
    late = light_of(sited("open-rail", facing_deg=180.0), out="11-20").first_sun
    assert list(late.months) == ["11", "12", "1"]


@pytest.mark.parametrize(
    ("name", "out", "why"),
    [("window-sill", "05-10", "indoors"), ("open-rail", None, "no date")],
)
def test_no_first_sun_without_a_move(name, out, why):
    got = light_of(spot_kind(name), out=out).first_sun
    assert got.warn is None
    assert why in got.unknown_because


def test_cloud_takes_light_and_sun():
    clear, dull = (
        light_of(sited("as-measured", horizon_deg=0.0), cloud=c) for c in (0.0, 1.0)
    )
    for m in clear.months:
        assert (
            dull.months[m].daily_light_mol_m2.mid
            < 0.5 * clear.months[m].daily_light_mol_m2.mid
        )
        assert dull.months[m].direct_sun_h.mid == 0


def test_the_picture_draws_the_hours_of_the_result_and_no_others():
    from climrisk.commands.assess.sun_chart import sun_clock
    from climrisk.commands.shared.light_text import clock_rows

    got = light_of(sited("roofed-balcony", facing_deg=135.0, eaves_m=0.8))
    drawn = set()
    for trace in sun_clock(got).traces:
        drawn |= set(zip(trace["x"], trace["base"], strict=True))
    names = {str((k + 6) % 12 + 1): month for k, month in enumerate(MONTHS)}
    wanted = {
        (names[m], hour)
        for m, shares in got.sun_by_hour.items()
        for hour, share in enumerate(shares)
        if share >= 0.05
    }
    assert drawn == wanted
    # A south-eastern balcony has its sun before the afternoon.
    assert max(hour for _, hour in drawn) < 15
    rows = clock_rows(got)
    assert {int(row[0].split()[0]) for row in rows} >= {hour for _, hour in drawn}
    for m, shares in got.sun_by_hour.items():
        assert sum(shares) == pytest.approx(got.months[m].direct_sun_h.mid, abs=0.15)


MONTHS = [*("Jul", "Aug", "Sep", "Oct", "Nov", "Dec")]
MONTHS += [*("Jan", "Feb", "Mar", "Apr", "May", "Jun")]


def test_a_record_without_cloud_is_as_bright_as_changing_skies():
    weather = climate(years=1, measured_at="station")

    def mean_light(cloud):
        leave_out = ("ghi_w_m2", "cloud_cover_frac")
        values = {k: v[:, 0] for k, v in weather.values.items() if k not in leave_out}
        if cloud is not None:
            values["cloud_cover_frac"] = cloud
        made = WeatherSeries.build(
            weather.time, values, place=weather.place, source=weather.source
        )
        return prepare(made, ensemble(1)).sky.ghi_w_m2.mean()

    hours = len(weather)
    clear, half = mean_light(np.zeros(hours)), mean_light(np.full(hours, 0.5))
    # Half of the days clear and half overcast: 1 and 0.25 of the light of clear skies.
    days = mean_light((np.arange(hours) // 24 % 2).astype(float))
    unknown = mean_light(None)
    assert days / clear == pytest.approx(0.625, abs=0.01)
    assert half / clear == pytest.approx(0.93, abs=0.01)
    assert days < unknown < half
    assert unknown / clear == pytest.approx(0.7, abs=0.01)


@pytest.mark.parametrize("facing", [0.0, 90.0, 180.0, 270.0])
def test_light_indoors_is_what_windows_let_in(facing):
    # At 51 degrees, with 3.7 mol in December and 37 in July outdoors (0.5 and 5 kWh a
    # day), a sill has 0.5 to 2 and 4 to 10 by its facing, and the depth of a room a few
    # per cent of the light outdoors.
    sun = sun_path(A_YEAR, 51.0, 0.0)
    month = A_YEAR.astype("datetime64[M]").astype(int) % 12 + 1
    clear = clear_sky_ghi_w_m2(sun)
    ghi = clear.copy()
    for m, kwh in ((12, 0.5), (7, 5.0)):
        ghi[month == m] *= kwh * 1000 / 24 / clear[month == m].mean()
    ghi = ghi[:, None]
    none = np.zeros_like(ghi)
    sky = Sky(none, none, none, ghi, lambda: beam_and_diffuse(ghi, sun), sun, ())

    def daily(kind, m):
        top = sunlight(kind, sky, north=True)[1]
        return float(daily_light_mol_m2(top[month == m].mean()))

    outdoors = [float(daily_light_mol_m2(ghi[month == m].mean())) for m in (12, 7)]
    assert outdoors == pytest.approx([3.7, 37.4], abs=0.1)
    for kind in (spot_kind("window-sill"), sited("window-sill", facing_deg=facing)):
        assert 0.5 < daily(kind, 12) < 2.0
        assert 4.0 < daily(kind, 7) < 10.0
    for kind in (spot_kind("heated-room"), sited("heated-room", facing_deg=facing)):
        assert 0.05 < daily(kind, 12) < 0.6
        assert 0.4 < daily(kind, 7) < 2.0
    balcony = daily(spot_kind("roofed-balcony"), 7) / outdoors[1]
    assert 0.3 < balcony < 0.45


def test_a_sill_sees_the_sky_that_its_window_shows():
    # The textbook view of a window from a level leaf behind its middle, below its edge,
    # with half of the width to either side (12 cm off a pane of 1.0 by 1.2 m).
    a, b, c = 1.2, 0.5, 0.12
    slant = math.hypot(a, c)
    view = (math.atan(b / c) - c / slant * math.atan(b / slant)) / math.pi
    assert view == pytest.approx(0.41, abs=0.01)
    # Houses opposite and the wall's depth take some of it, glass and frame 0.44 of it.
    open_ = 0.75 * 0.75 * view
    got = reach(sited("window-sill", facing_deg=180.0), ONE_HOUR, north=True)
    assert 0.6 * open_ < got.diffuse_top < open_
    assert spot_kind("window-sill").diffuse_frac == pytest.approx(
        got.diffuse_top, abs=0.03
    )
