"""An assessment of made climates; every option moves numbers and the right way."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climrisk.advice.cautions import Setting, for_plant
from climrisk.advice.verdict import RANK
from climrisk.commands.assess.compute import assess
from climrisk.commands.shared.request import AssessRequest
from climrisk.core.errors import InputError
from climrisk.pot.model import FilledPot
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.weather.series import WeatherSeries
from tests.asking import question
from tests.made_plants import plant
from tests.made_weather_series import climate

TODAY = date(2026, 11, 25)


def ask(profile, spot=None, *, members=3, **changes):
    pot = FilledPot.named("thin-plastic", 12, "pine-bark-fine")
    kind = None if spot is None else spot_kind(spot)
    return AssessRequest(profile, "made", kind, pot, TODAY, members=members, **changes)


def test_months_dates_and_word_by_a_made_climate():
    """A yearly wave of 18 ± 8 °C, days of ± 4: nights from 6 °C in January to 22."""
    result = assess(climate(mean=18, season=8), ask(plant(10), risk=0.25))
    assert result.verdict.word == "indoors in winter"
    assert result.verdict.rooms_assumed
    assert result.verdict.room in ("a window sill", "a heated room")
    assert result.months["1"] == "in"
    assert result.months["7"] == "out"
    assert set(result.months) == set(result.month_details)
    assert result.move_in.month_day > "09"
    assert result.move_out.month_day < "05"


def test_every_month_state_is_reached_by_a_made_climate():
    # Two nights of a cold spell in March of every third year: more than the risk, and
    # less than half.
    weather = climate(mean=17, season=8, years=9)
    air = weather.air_temp_c.copy()
    march = np.datetime64("2012-03-20T00:00", "m")
    for years in (0, 3, 6):
        at = np.searchsorted(weather.time, march + years * 525_960)
        air[at : at + 48] -= 12
    changed = WeatherSeries.build(
        weather.time,
        {**weather.values, "air_temp_c": air},
        place=weather.place,
        source=weather.source,
    )
    details = assess(changed, ask(plant(9, tolerated=6), risk=0.2)).month_details
    states = {month: row.state for month, row in details.items()}
    assert (states["7"], states["3"], states["1"]) == ("out", "watch", "in")
    assert details["3"].share_with_harmful_night == pytest.approx(1 / 3, abs=0.01)
    few = assess(climate(mean=17, season=8, years=2), ask(plant(6))).months
    assert set(few.values()) == {"unknown"}


def test_a_plant_without_a_tolerated_limit_is_judged_by_an_estimate():
    """Three degrees below the night minimum it prefers, and said to be an estimate."""
    result = assess(climate(), ask(plant(10)))
    row = result.plant.limits["tolerated"]
    assert (row.value, row.basis) == (7.0, "estimate")
    assert "estimated limit" in {w.what for w in result.weak}
    known = assess(climate(), ask(plant(10, tolerated=7.0)))
    assert known.air == result.air
    assert known.winters.with_harmful_night == result.winters.with_harmful_night
    assert "estimated limit" not in {w.what for w in known.weak}
    tender = assess(climate(), ask(plant(10, tolerated=9.0)))
    assert tender.air.hours_below_tolerated.mid > result.air.hours_below_tolerated.mid


def test_root_zone_may_only_worsen():
    weather = climate(mean=14, season=8, measured_at="station")
    usual = ask(plant(8), "open-rail")
    wet = replace(
        usual, pot=FilledPot.named("terracotta", 8, "sphagnum", wetness="wet")
    )
    by_usual, by_wet = assess(weather, usual), assess(weather, wet)
    assert by_usual.governed_by == "air"
    assert RANK[by_wet.verdict.word] >= RANK[by_usual.verdict.word]
    assert by_wet.months == by_usual.months


BASE = {
    "spot": "roofed-balcony",
    "pot": "thin-plastic",
    "pot_diameter": 12.0,
    "medium": "pine-bark-fine",
    "wetness": "damp",
    "state": "established",
    "risk": 0.2,
    "members": 6,
    "elevation": None,
}
NAME = "Cattleya, standard large-flowered hybrids"
STATION = climate(mean=15, season=8, measured_at="station", years=6)


def request_with(**changes):
    words = {**BASE, **changes}
    return question(NAME, today=TODAY, **words)


def run(**changes):
    return assess(STATION, request_with(**changes))


@pytest.fixture(scope="module")
def base():
    return run()


def test_colder_spots_have_more_hours(base):
    yard, recessed = run(spot="yard-floor"), run(spot="recessed-balcony")
    hours = [r.air.hours_below_preferred.mid for r in (recessed, base, yard)]
    assert hours == sorted(hours)
    assert hours[0] < hours[1] < hours[2]


def test_a_roof_never_lowers_the_lowest(base):
    assert base.air.lowest_c.mid >= run(spot="open-rail").air.lowest_c.mid


def test_a_bigger_pot_swings_less(base):
    big = run(pot_diameter=25.0)
    assert big.pot.time_constant_h > base.pot.time_constant_h
    assert big.root_zone.lowest_c.mid > base.root_zone.lowest_c.mid
    assert big.air == base.air


@pytest.mark.parametrize(
    ("option", "value"),
    [("pot", "terracotta"), ("medium", "sphagnum"), ("wetness", "wet")],
)
def test_wetter_pots_are_colder_on_average(base, option, value):
    other = run(**{option: value})
    assert other.root_zone != base.root_zone
    assert (
        other.root_zone.hours_below_preferred.mid
        > base.root_zone.hours_below_preferred.mid
    )


def test_more_risk_means_later_in_and_earlier_out(base):
    more = run(risk=0.5)
    assert more.move_in.month_day >= base.move_in.month_day
    assert more.move_out.month_day <= base.move_out.month_day
    assert more.air == base.air


def test_in_bud_the_stricter_limit_holds(base):
    spiking = run(state="in-spike")
    assert spiking.plant.limits["tolerated"].value == 10
    assert spiking.air.hours_below_tolerated.mid > base.air.hours_below_tolerated.mid


def test_members_widen_the_band(base):
    one = run(members=1)
    assert one.air.hours_below_preferred.low == one.air.hours_below_preferred.high
    assert base.air.hours_below_preferred.low < base.air.hours_below_preferred.high


def test_a_higher_home_is_colder(base):
    assert run(elevation=400.0).air.lowest_c.mid < base.air.lowest_c.mid


def test_every_spot_kind_runs_and_indoors_is_warmer():
    year = STATION.between(0, 24 * 365)
    hours = {
        k: assess(year, request_with(spot=k, members=2)).air.hours_below_preferred.mid
        for k in KINDS
    }
    assert hours["heated-room"] <= hours["unheated-room"] < hours["roofed-balcony"]
    assert hours["glazed-balcony"] < hours["roofed-balcony"]
    assert hours["yard-floor"] == max(h for h in hours.values() if h is not None)


@pytest.mark.parametrize(
    ("option", "value", "allowed"),
    [
        ("spot", "balconi", "roofed-balcony"),
        ("pot", "bucket", "terracotta"),
        ("medium", "akadma", "akadama"),
        ("medium", "50 akadama + 40 grit", "100"),
        ("risk", 7.0, "0.01 to 0.9"),
        ("pot_diameter", 900.0, "4 to 50"),
        ("state", "asleep", "established"),
        ("wetness", "moist", "damp"),
        ("members", 0, "1 to 100"),
        ("elevation", 9999.0, "8850"),
    ],
)
def test_bad_options_are_one_clear_line(option, value, allowed):
    with pytest.raises(InputError) as caught:
        request_with(**{option: value})
    assert allowed in caught.value.line()
    assert "\n" not in caught.value.line()
    assert caught.value.exit_status == 2


def test_an_unknown_variable_is_assumed_with_its_spread_and_listed():
    weather = climate(mean=15, season=8, measured_at="station", full=False)
    result = assess(weather, ask(plant(10), "open-rail", members=8))
    assert {a.variable for a in result.weather.assumed} == {
        "cloud cover",
        "wind",
        "humidity",
        "sunlight",
    }
    root = result.root_zone.hours_below_preferred
    assert root.low < root.high


def test_root_zone_is_unknown_after_a_gap():
    weather = climate(years=3)
    values = {k: v.copy() for k, v in weather.values.items()}
    values["air_temp_c"][5000:5010] = np.nan
    gap = replace(weather, values=values)
    whole, broken = (assess(w, ask(plant(10), members=1)) for w in (weather, gap))
    assert broken.air.hours_below_preferred.unknown == 10
    assert (
        broken.root_zone.hours_below_preferred.unknown
        > whole.root_zone.hours_below_preferred.unknown + 10
    )


SETTING = Setting(
    toxic_note=None,
    state="established",
    medium="expanded-clay",
    pot="thin-plastic",
    pot_diameter_cm=12.0,
    outdoors=True,
    glazed=False,
    moves=True,
)


@pytest.mark.parametrize(
    ("changes", "topic", "words"),
    [
        ({}, "falling pots", "local by-laws"),
        ({}, "lifting", "wet steps"),
        ({}, "pests", "by the label"),
        ({}, "pets and children", "does not mean"),
        ({"toxic_note": "sap burns"}, "pets and children", "sap burns"),
        ({"state": "unrooted"}, "unrooted plant", "6 to 8 weeks"),
        ({"state": "new-import"}, "newly imported plant", "papers"),
        ({"pot_diameter_cm": 30.0}, "load", "engineer"),
        ({"pot": "self-watering", "pot_diameter_cm": 22.0}, "load", "engineer"),
        ({"glazed": True}, "heating", "qualified electrician"),
        ({"medium": "50 perlite + 50 peat-mix"}, "dust", "mask"),
    ],
)
def test_caution_stands_where_it_matters(changes, topic, words):
    texts = {c.topic: c.text for c in for_plant(replace(SETTING, **changes))}
    assert words in texts[topic]
    assert "limits of this estimate" in texts


def test_no_caution_where_it_does_not_matter():
    indoors = replace(SETTING, outdoors=False, moves=False, pot_diameter_cm=40.0)
    assert [c.topic for c in for_plant(indoors)] == ["limits of this estimate"]
