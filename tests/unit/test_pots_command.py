"""Pots compared: laws of the trade and of physics, and words that keep to the bands."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import climrisk
from climrisk.commands.pots.chart import pots_dots
from climrisk.commands.pots.compute import PotsRequest, _reason, _word, pots
from climrisk.commands.pots.page import pots_sheet
from climrisk.commands.pots.text import pots_text
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.core.errors import InputError
from climrisk.core.ranges import Band
from climrisk.pot.model import FilledPot
from climrisk.pot.root_zone import REFERENCE_POT
from climrisk.pot.sensitivity import EFFECTS, variants, without
from climrisk.render.charts.chart import to_plotly
from climrisk.render.page import render
from climrisk.spot.kinds import spot_kind
from tests import asking


@pytest.fixture(scope="module")
def hours():
    return climrisk.load_weather(demo=True, years=4)


def compare(hours, *compared, spot="roofed-balcony", **options):
    options = {"members": 3, **options}
    at = NamedSpot.of(spot_kind(spot))
    result = pots(hours, PotsRequest(at, compared, **options))
    return {(r.pot, r.medium, r.diameter_cm): r for r in result.pots}, result


PLASTIC = FilledPot.named("thin-plastic", 12, "pine-bark-fine")
CLAY = FilledPot.named("terracotta", 12, "pine-bark-fine")


def test_the_reference_is_no_warmer_than_itself(hours):
    rows, _ = compare(hours, PLASTIC)
    (row,) = rows.values()
    assert row.differs == "reference"
    assert row.effects_k == {}
    assert row.warmer_k.mid == 0.0
    assert row.warmer_k.low < 0 < row.warmer_k.high


def test_unglazed_clay_is_colder_because_it_evaporates(hours):
    # Common practice, no source: moist clay pots run cooler than plastic ones.
    rows, result = compare(hours, PLASTIC, CLAY)
    clay = rows["terracotta", "pine-bark-fine", 12.0]
    assert clay.differs == "colder"
    assert clay.warmer_k.high < 0
    assert clay.effects_k["evaporation"] < -0.3
    assert abs(clay.effects_k["evaporation"]) == max(map(abs, clay.effects_k.values()))
    assert "evaporates more" in clay.reason
    assert result.pots[0].pot == "thin-plastic"
    assert "coldest in terracotta" in result.sentence


def test_a_dry_clay_pot_loses_what_made_it_colder(hours):
    rows, _ = compare(hours, CLAY, replace(CLAY, wetness="dry"))
    assert len(rows) == 1  # the same name; the band is looked at by itself
    dry, _ = compare(hours, replace(CLAY, wetness="dry"))
    wet, _ = compare(hours, replace(CLAY, wetness="wet"))
    (d,), (w,) = dry.values(), wet.values()
    assert d.warmer_k.mid > w.warmer_k.mid


def test_a_bigger_pot_swings_less_and_later(hours):
    small, big = (
        FilledPot.named("thin-plastic", 8, "expanded-clay"),
        FilledPot.named("thin-plastic", 25, "expanded-clay"),
    )
    rows, _ = compare(hours, small, big)
    s, b = rows.values()
    if s.diameter_cm > b.diameter_cm:
        s, b = b, s
    assert b.time_constant_h > 2 * s.time_constant_h
    assert b.daily_amplitude_ratio < s.daily_amplitude_ratio
    assert b.daily_lag_h > s.daily_lag_h
    assert b.warmer_k.mid > s.warmer_k.mid
    assert b.effects_k["size"] > 0


def test_what_differs_little_has_no_clear_difference(hours):
    same, result = compare(
        hours, PLASTIC, FilledPot.named("thin-plastic", 12.2, "pine-bark-fine")
    )
    assert same["thin-plastic", "pine-bark-fine", 12.2].differs == "no clear difference"
    assert "no clear difference" in result.sentence


def test_words_keep_to_the_band():
    assert _word(Band(0.1, 0.5, 0.9)) == "warmer"
    assert _word(Band(-0.1, 0.5, 0.9)) == "no clear difference"
    assert _word(Band(0.01, 0.1, 0.3)) == "no clear difference"
    assert _word(Band(-0.9, -0.5, -0.1)) == "colder"
    assert _word(Band(None, None, None)) == "no clear difference"
    assert _reason("colder", {"evaporation": -0.8, "size": 0.3}) == "it evaporates more"
    assert _reason("warmer", {"size": 0.05}) == "several small effects together"


def test_every_effect_is_switched_off_by_its_own_numbers():
    clay, reference = CLAY.numbers, REFERENCE_POT.numbers
    everything = clay
    for effect in EFFECTS:
        everything = without(everything, effect, reference)
    assert everything == reference
    named = [n for names in EFFECTS.values() for n in names]
    assert len(named) == len(set(named)) == len(vars(clay))


def test_variants_are_either_side_of_the_pot():
    given, drier, wetter = (v.numbers for v in variants(CLAY.numbers))
    assert given == CLAY.numbers
    assert drier.conductivity_w_mk < given.conductivity_w_mk < wetter.conductivity_w_mk
    assert drier.wall_wetness < given.wall_wetness <= wetter.wall_wetness <= 1.0


def test_worst_nights_are_of_their_kind_and_counts_of_the_limits(hours):
    rows, _ = compare(hours, PLASTIC, spot="open-rail", below=(4.0,))
    (row,) = rows.values()
    assert row.worst_still_night.evening != row.worst_windy_night.evening
    assert set(row.hours_below) == {"4"}
    # Its water freezes: the roots wait at the freezing point below colder air.
    assert row.worst_still_night.air_c < -1.5
    assert row.worst_still_night.root_zone_c.mid == -0.1
    assert row.hours_below_preferred is None


def test_the_same_from_python_with_a_plants_limit(hours):
    result = asking.pots(
        hours,
        plant="Phalaenopsis hybrids",
        spot="roofed-balcony",
        pot=["thin-plastic"],
        medium=["expanded-clay", "50 akadama + 50 grit"],
        members=2,
    )
    assert result.preferred_c == 15.5
    assert len(result.pots) == 2
    for row in result.pots:
        assert row.hours_below_preferred == row.hours_below["15.5"]


def test_drying_and_wet_cold_hours_by_the_laws_of_the_trade(hours):
    """Clay dries before plastic and is wet for less of the cold; a reservoir always."""
    self_watering = FilledPot.named("self-watering", 12, "pine-bark-fine")
    rows, result = compare(hours, PLASTIC, CLAY, self_watering)
    plastic, clay, reservoir = (
        rows[kind, "pine-bark-fine", 12.0]
        for kind in ("thin-plastic", "terracotta", "self-watering")
    )
    assert result.wet_and_cold_below_c == 10.0
    for season in ("winter", "spring", "summer", "autumn"):
        assert clay.dry_after_d[season].high < plastic.dry_after_d[season].low
    assert plastic.dry_after_d["summer"].mid < plastic.dry_after_d["winter"].mid
    wet = [r.wet_and_cold_hours_per_year for r in (clay, plastic, reservoir)]
    assert wet[0].high < wet[1].low
    assert wet[1].mid < wet[2].mid
    # A pot that is never dry is wet in all of its cold hours, of about four years.
    years = 24 * 365 * 4 / 8766
    assert wet[2].mid == pytest.approx(
        reservoir.hours_below["10"].mid / years, rel=0.01
    )
    for row in (clay, plastic):
        assert row.watered_every_d == 7
        assert row.wet_and_cold_hours_per_year.mid < row.hours_below["10"].mid / years
    assert reservoir.reservoir
    assert reservoir.watered_every_d is None
    text = pots_text(result)
    assert "until the reservoir is empty" in text
    assert "Watered every 7 days" in text
    plain = compare(hours, PLASTIC)[1]
    assert "reservoir is empty" not in pots_text(plain)


def test_text_page_and_picture_show_every_pot(hours):
    _, result = compare(hours, PLASTIC, CLAY)
    text, page = pots_text(result), render(pots_sheet(result))
    for row in result.pots:
        assert f"{row.pot}, {row.medium}" in text
        if row.differs in ("warmer", "colder"):
            assert row.reason in page.replace("&#39;", "'")
            assert row.reason in text
    figure = to_plotly(pots_dots(result))
    assert len(figure.data) == 2 * len(result.pots)
    low, high = figure.layout.xaxis.range
    assert low < min(r.warmer_k.low for r in result.pots)
    assert high > max(r.warmer_k.high for r in result.pots)
    assert np.isfinite([low, high]).all()


def test_too_many_and_none_are_refused(hours):
    with pytest.raises(InputError, match="1 to 30"):
        compare(hours)
    with pytest.raises(InputError, match="1 to 30"):
        compare(hours, *([PLASTIC] * 31))


def test_a_pot_with_higher_lows_and_more_cold_hours_is_explained(hours):
    foam = FilledPot.named("polystyrene", 12, "pine-bark-fine")
    rows, result = compare(hours, PLASTIC, foam, below=(10.0,))
    plastic, slow = (
        rows[kind, "pine-bark-fine", 12.0] for kind in ("thin-plastic", "polystyrene")
    )
    assert slow.warmer_k.mid > plastic.warmer_k.mid
    assert slow.hours_below["10"].mid > plastic.hours_below["10"].mid
    note = result.nights_against_hours
    assert "polystyrene with pine-bark-fine" in note
    assert "thin-plastic" not in note
    assert note in pots_text(result)
    assert note in render(pots_sheet(result))
    _, alike = compare(hours, PLASTIC, CLAY, below=(10.0,))
    assert alike.nights_against_hours is None
