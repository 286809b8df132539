"""Pots and media: names, mixes, gaps, pieces, and which way things go."""

from __future__ import annotations

import re
from dataclasses import replace
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import pytest

import climrisk.pot.root_zone as rz
import climrisk.pot.time_chunks as cutting
from climrisk.core.errors import InputError
from climrisk.exposure.sweep import SWEEP
from climrisk.pot.kernel.march import RUN
from climrisk.pot.layers import through_dry_layer
from climrisk.pot.media import media, medium
from climrisk.pot.model import FilledPot, walls
from climrisk.pot.root_zone import REFERENCE_POT, root_zone, time_constant_h
from climrisk.spot.climate import SpotClimate

GRIT = medium("grit")


def night_climate(hours=24 * 20, *, dew=2.0, wind=0.5, cases=1, sky=0.3):
    """Clear winter nights: air 10 ± 6 °C, no sun, part of the sky seen."""
    t = np.arange(hours)
    air = (10 + 6 * np.sin(2 * np.pi * (t - 9) / 24))[:, None] * np.ones(cases)
    black = 5.670374e-8 * (air + 273.15) ** 4
    emissivity = 0.711 + 0.56 * dew / 100 + 0.73 * (dew / 100) ** 2
    full = np.ones_like(air)
    time = np.datetime64("2020-12-01", "m") + t * np.timedelta64(60, "m")
    return SpotClimate(
        time,
        air,
        np.minimum(dew * full, air),
        wind * full,
        1.6 * wind * full,
        (sky * emissivity + 1 - sky) * black,
        (0.5 * emissivity + 0.5) * black,
        0 * full,
        0 * full,
        air,
        air,
        air,
        rain_reaches=False,
        pressure_pa=101_325.0,
    )


def test_every_name_of_the_tables_makes_a_pot():
    for kind in walls():
        for name in media():
            pot = FilledPot.named(kind, 12, name)
            assert 0.03 <= pot.conductivity_w_mk <= 2.6
            assert 0.2e6 <= pot.heat_capacity_j_m3k <= 4.0e6
            assert 0 <= pot.wall_wetness <= 1
            assert 0 <= pot.top_wetness <= 1


def test_sources_of_media_and_pots_resolve():
    from climrisk.pot.media import read_table

    known = {row["key"] for row in read_table("sources.csv")}
    used = {s for m in media().values() for s in m.sources}
    used |= {s for w in walls().values() for s in w.sources}
    assert used <= known
    assert all(m.basis for m in media().values())


def test_heat_capacity_by_the_mixing_rule():
    # Moene & van Dam 2014 table 2.2: peat with 0.45 water 2.13e6, sand with 0.2 2.12e6.
    peat = replace(medium("peat-mix"), bulk_density_kg_m3=130, water_moist=0.45)
    assert peat.heat_capacity_j_m3k() == pytest.approx(2.13e6, abs=2e4)
    sand = replace(medium("sand"), water_moist=0.2)
    assert sand.heat_capacity_j_m3k() == pytest.approx(2.12e6, abs=1e4)


def test_a_mix_lies_between_its_parts():
    mix, one, two = (medium(m) for m in ("50 akadama + 50 grit", "akadama", "grit"))
    for name in ("bulk_density_kg_m3", "water_moist", "conductivity_moist_w_mk"):
        low, high = sorted((getattr(one, name), getattr(two, name)))
        assert low <= getattr(mix, name) <= high
    assert medium("100 perlite").heat_capacity_j_m3k() == pytest.approx(
        medium("perlite").heat_capacity_j_m3k()
    )


@pytest.mark.parametrize(
    "text", ["50 akadama + 40 grit", "akadama + grit", "fluff", ""]
)
def test_bad_media(text):
    with pytest.raises(InputError) as caught:
        medium(text)
    assert caught.value.exit_status == 2


def test_pieces_equal_the_whole_series(monkeypatch):
    climate = night_climate(24 * 120)
    pieces = root_zone(climate, REFERENCE_POT)
    monkeypatch.setattr(cutting, "_TOGETHER", 1)
    monkeypatch.setattr(cutting, "THREADS", 1)
    whole = root_zone(climate, REFERENCE_POT)
    assert len(cutting.even_pieces(24 * 120, 1, 40)) == 1
    known = np.isfinite(whole.mean_c)
    assert np.array_equal(known, np.isfinite(pieces.mean_c))
    assert np.abs(whole.mean_c - pieces.mean_c)[known].max() < 0.01


def test_unknown_after_a_gap_for_five_time_constants():
    climate = night_climate(24 * 20)
    air = climate.air_c.copy()
    air[200:203] = np.nan
    root = root_zone(replace(climate, air_c=air), REFERENCE_POT).mean_c[:, 0]
    wait = int(np.ceil(5 * time_constant_h(REFERENCE_POT)))
    assert np.isnan(root[: wait - 1]).all()
    assert np.isnan(root[200 : 203 + wait - 1]).all()
    assert np.isfinite(root[203 + wait : 400]).all()
    whole = root_zone(climate, REFERENCE_POT).mean_c[:, 0]
    assert np.abs(root[203 + wait :] - whole[203 + wait :]).max() < 0.1


def lowest_and_mean(pot, **options):
    root = root_zone(night_climate(**options), pot).mean_c[-48:]
    return float(root.min()), float(root.mean())


def test_bigger_pots_swing_less_and_later():
    # Townend & Dickinson 1995: peak to peak 14.6, 11.6, 7.7 K in 0.19, 0.55, 1.9 L.
    spans = []
    for size in (7, 10, 15, 25):
        root = root_zone(
            night_climate(), FilledPot.named("thin-plastic", size, "peat-mix")
        )
        spans.append(float(np.ptp(root.mean_c[-48:])))
    assert spans == sorted(spans, reverse=True)


def test_wet_pots_are_colder_on_average_in_dry_moving_air():
    dry = {"dew": -4.0, "wind": 1.5}
    _, wet_mean = lowest_and_mean(FilledPot.named("net-pot", 12, "sphagnum"), **dry)
    _, lava_mean = lowest_and_mean(FilledPot.named("net-pot", 12, "lava-rock"), **dry)
    # Specification, N2 net pot: sphagnum 4.6, coarse lava 7.1 on average.
    assert 1.0 < lava_mean - wet_mean < 4.0


def test_lava_is_warmer_than_moist_clay_only_in_dry_air():
    # The trade's rule is one of evaporation: night deficit above about 2 hPa.
    dry = {"dew": -4.0, "wind": 1.5}
    lava, clay = (
        FilledPot.named("net-pot", 12, m) for m in ("lava-rock", "expanded-clay")
    )
    assert lowest_and_mean(lava, **dry)[0] > lowest_and_mean(clay, **dry)[0] + 0.1
    calm = {"dew": 2.0, "wind": 0.5}
    difference = lowest_and_mean(lava, **calm)[0] - lowest_and_mean(clay, **calm)[0]
    assert abs(difference) < 0.5


def test_every_pot_in_the_open_falls_below_the_air_on_a_clear_calm_night():
    # Specification section 7: core minimum 1.9-2.5 C in plastic, air minimum 4.0.
    for name in ("sphagnum", "akadama", "lava-rock", "pine-bark-fine"):
        lowest, _ = lowest_and_mean(FilledPot.named("thin-plastic", 12, name))
        assert 1.2 < lowest < 3.6


def test_both_interiors_agree_on_a_small_pot():
    # The quick one is within 0.1 K of the whole on clear nights (error table: daily
    # amplitude within .004 at R 6 cm, of a swing of 6 K; wall node and top besides).
    climate, pot = night_climate(24 * 12), replace(REFERENCE_POT, stand="bench")
    quick = root_zone(climate, pot).mean_c[-48:]
    whole = rz.RootZones(climate).of(pot, n_r=6, n_z=8).mean_c[-48:]
    assert np.abs(quick - whole).max() < 0.25
    assert abs(quick.min() - whole.min()) < 0.1


def _used_by(module):
    """Return the modules of the project that a module imports from, itself included."""
    text = Path(str(import_module(module).__file__)).read_text("utf-8")
    found = {module}
    for origin, names in re.findall(
        r"^from (climrisk[.\w]*) import (\((?:[^)]*)\)|.*)$", text, re.MULTILINE
    ):
        found.add(origin)
        for name in re.findall(r"\w+", names):
            if find_spec(origin).submodule_search_locations and find_spec(
                f"{origin}.{name}"
            ):
                found.add(f"{origin}.{name}")
    return {name for name in found if not find_spec(name).submodule_search_locations}


@pytest.mark.parametrize("function", [RUN, SWEEP])
def test_a_change_of_any_piece_compiles_anew(function):
    # The machine code depends on the text of every module with a piece, and of those
    # that its pieces come from.
    listed = set(function._sources)
    pieces = [name for name in listed if ".kernel." in name or "loop" in name]
    for module in pieces:
        needed = _used_by(module) - {"climrisk.pot.kernel.march"}
        assert needed <= listed, module
    assert function._module in listed


@pytest.mark.parametrize("setup", ["screening", "full"])
@pytest.mark.long
def test_pieces_of_a_frosty_record_equal_the_whole(setup, monkeypatch):
    # Four years about a mean of 4 °C, with weeks near the freezing point.
    climate = night_climate(24 * 365 * 4, cases=1)
    hours = np.arange(24 * 365 * 4)[:, None]
    cold = climate.air_c - 6 - 9 * np.cos(2 * np.pi * hours / 8766)
    climate = replace(climate, air_c=cold, dew_point_c=cold - 3, floor_c=cold)
    pot = FilledPot.named("thin-plastic", 14, "peat-mix")
    assert len(cutting.summer_cuts(climate.air_c)) == 4 + 1
    pieces = root_zone(climate, pot, setup=setup)
    monkeypatch.setattr(rz, "summer_cuts", lambda air: [0, len(air)])
    whole = root_zone(climate, pot, setup=setup)
    known = np.isfinite(whole.mean_c)
    assert np.array_equal(known, np.isfinite(pieces.mean_c))
    assert (np.abs(whole.mean_c[known] + 0.1) < 0.05).sum() > 200
    assert np.abs(whole.mean_c - pieces.mean_c)[known].max() < 0.01


def test_layers_as_typed():
    pot = FilledPot.named("self-watering", 16, "expanded-clay")
    pot = pot.with_layers("2 lava-rock", "1.5 cm grit")
    assert [(x.name, x.thickness_m) for x in pot.below] == [
        ("reservoir", 0.03),
        ("crocking", 0.02),
    ]
    assert pot.above[0].thickness_m == pytest.approx(0.015)
    # 1 cm of dry layer with air porosity 0.4 lets a tenth through (141 against 1800
    # s/m: 0.07); grit has 0.43.
    assert through_dry_layer(0.01, replace(GRIT, total_porosity=0.41)) == pytest.approx(
        0.07, abs=0.01
    )
    assert (
        pot.top_wetness
        < FilledPot.named("self-watering", 16, "expanded-clay").top_wetness
    )


@pytest.mark.parametrize(
    ("layers", "word"),
    [
        (("grit", None), "crocking"),
        (("40 grit", None), "0.5 to 10 cm"),
        ((None, "2 gritt"), "grit"),
        (("6 grit", "4 grit"), "room for roots"),
    ],
)
def test_bad_layers(layers, word):
    with pytest.raises(InputError, match=re.escape(word)) as caught:
        FilledPot.named("thin-plastic", 12, "expanded-clay").with_layers(*layers)
    assert caught.value.exit_status == 2


OWN = """
bulk_density_kg_m3 = 400
total_porosity = 0.8
water_drained = 0.3
water_moist = 0.2
specific_heat_j_kgk = 900
conductivity_dry_w_mk = 0.1
conductivity_moist_w_mk = 0.3
top_wetness = 0.5
"""


@pytest.fixture
def own(tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    (tmp_path / "media").mkdir()
    return tmp_path / "media" / "my-mix.toml"


def test_own_medium(own):
    own.write_text(OWN, "utf-8")
    mine = medium("my-mix")
    # 400 x 900 + 4.18e6 x 0.2 J/m3K
    assert mine.heat_capacity_j_m3k() == pytest.approx(1.196e6)
    assert mine.basis == "the user's own"
    assert medium("50 my-mix + 50 grit").bulk_density_kg_m3 == pytest.approx(950)


@pytest.mark.parametrize(
    ("change", "word"),
    [
        (("top_wetness = 0.5", ""), "top_wetness"),
        (("= 400", '= "heavy"'), "bulk_density_kg_m3"),
        (("= 0.3\nwater_moist", "= 0.9\nwater_moist"), "more water than it has pores"),
        (("top_wetness", "wet"), "unknown key"),
        (("= 900", "= ="), "cannot be read"),
        (("= 400", "= 40000"), "10 to 2000"),
        (("bulk", 'name = "<b>mix"\nbulk'), "cannot be typed"),
    ],
)
def test_bad_own_medium(own, change, word):
    text = OWN.replace(*change)
    assert text != OWN
    own.write_text(text, "utf-8")
    with pytest.raises(InputError, match=word) as caught:
        medium("my-mix")
    assert str(own) in str(caught.value)
    assert own.read_text("utf-8") == text


@pytest.mark.long
def test_watering_resets_every_piece_alike(monkeypatch):
    climate = night_climate(24 * 365 * 2, dew=-5.0, wind=1.0)
    pot = FilledPot.named("terracotta", 12, "sphagnum", watered_every_d=9)
    assert len(cutting.summer_cuts(climate.air_c)) == 2 + 1
    pieces = root_zone(climate, pot, setup="full")
    monkeypatch.setattr(rz, "summer_cuts", lambda air: [0, len(air)])
    whole = root_zone(climate, pot, setup="full")
    known = np.isfinite(whole.mean_c)
    assert np.abs(whole.mean_c - pieces.mean_c)[known].max() < 0.01
    # It warms while it dries and cools when it is watered: a period of nine days.
    days = whole.mean_c[24 * 300 : 24 * 336, 0].reshape(4, 9, 24).mean(axis=2)
    assert (days.max(axis=1) - days.min(axis=1) > 0.3).all()
    unwatered = root_zone(climate, replace(pot, watered_every_d=None), setup="full")
    assert np.nanmean(whole.mean_c) > np.nanmean(unwatered.mean_c)


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"stand": "table"}, "floor bench feet"),
        ({"watered_every_d": 0.1}, "0.5 to 120 days"),
        ({"kind": "self-watering", "watered_every_d": 7}, "waters itself"),
    ],
)
def test_bad_stand_and_watering(given, word):
    kind = given.pop("kind", "thin-plastic")
    with pytest.raises(InputError, match=word):
        FilledPot.named(kind, 12, "expanded-clay", **given)


def test_where_the_bottom_meets_the_air_a_cold_floor_does_not_count():
    climate = night_climate(24 * 12)
    climate = replace(climate, floor_c=climate.air_c - 8)
    means = {
        stand: float(
            root_zone(climate, replace(REFERENCE_POT, stand=stand)).mean_c[-24:].mean()
        )
        for stand in ("floor", "bench", "feet")
    }
    assert means["floor"] < means["bench"] - 0.5
    assert means["floor"] < means["feet"] - 0.5
