"""The verdict's every word, reached by a made climate; every option moves numbers."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from climrisk.advice.cautions import Setting, for_plant
from climrisk.advice.months import Month
from climrisk.advice.verdict import Needs, World, verdict
from climrisk.errors import InputError
from climrisk.plants.model import Profile
from climrisk.pot.model import Pot
from climrisk.simulate.ask import PotWords, question
from climrisk.simulate.asked import Question
from climrisk.simulate.assess import assess
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.weather.series import Source, WeatherSeries
from tests.made_weather_series import climate

TODAY = date(2026, 11, 25)


def plant(
    preferred=10.0, *, tolerated=None, hot=None, warm_night=None, rest="none", drop=None
):
    """A made plant: only the limits asked for."""
    own = {"basis": "yours"}
    limits = {
        "preferred": [{"value": preferred, "meaning": "advised_night_low", **own}]
    }
    if tolerated is not None:
        limits["tolerated"] = [
            {"value": tolerated, "meaning": "tolerated_limit", **own}
        ]
    if hot is not None:
        limits["ceiling"] = [{"value": hot, "meaning": "ceiling", **own}]
    if warm_night is not None:
        limits["warm_night"] = [
            {"value": warm_night, "meaning": "suffers_above", **own}
        ]
    if drop is not None:
        limits["night_drop"] = [
            {"value": drop, "meaning": "advised_fall", "high": drop + 3, **own}
        ]
    return Profile.model_validate(
        {"name": "Made plant", "label": "intermediate", "rest": rest, "limits": limits}
    )


def ask(profile, spot=None, *, members=3, **changes):
    pot = Pot.named("thin-plastic", 12, "pine-bark-fine")
    kind = None if spot is None else spot_kind(spot)
    return Question(profile, "made", kind, pot, TODAY, members=members, **changes)


def word(weather, profile, spot=None, **changes):
    return assess(weather, ask(profile, spot, **changes)).verdict


def test_suits_where_no_month_is_cold():
    told = word(climate(mean=22, season=2), plant(12, hot=36, drop=4))
    assert told.word == "suits"
    assert "all year" in told.sentence


def test_suits_with_moves_where_few_short_spells_come():
    weather = climate(mean=20, season=3, spells=[(160, 4, 9), (200, 3, 9)])
    told = word(weather, plant(10))
    assert told.word == "suits with moves"
    assert "2 cold spells" in told.reasons[0]


def test_indoors_in_winter_where_one_block_is_cold():
    result = assess(climate(mean=18, season=8), ask(plant(10), risk=0.25))
    assert result.verdict.word == "indoors in winter"
    assert result.verdict.indoor_spot in ("unheated-room", "heated-room")
    assert result.months["1"] == "in"
    assert result.months["7"] == "out"
    assert result.move_in.month_day > "09"


def test_poor_match_where_more_than_six_months_are_cold():
    told = word(climate(mean=10, season=9), plant(12))
    assert told.word == "poor match"
    assert "months" in told.reasons[0]


def test_poor_match_where_nights_are_too_warm_for_a_cool_grower():
    told = word(climate(mean=22, season=2), plant(8, warm_night=16))
    assert told.word == "poor match"
    assert "too warm" in told.reasons[0]
    assert "16 °C" in told.sentence


@pytest.mark.parametrize(
    ("hours", "nights", "expected"),
    [
        (30, 7, "suits"),
        (31, 0, "suits with moves"),
        (0, 8, "suits with moves"),
        (201, 0, "poor match"),
        (0, 31, "poor match"),
    ],
)
def test_heat_bars_suits_and_too_much_of_it_bars_all(hours, nights, expected):
    months = {m: Month("out", 0.0, 10) for m in range(1, 13)}
    needs = Needs(hot_hours=hours, warm_nights=nights)
    world = World(months, 0, 0, 10, needs)
    told = verdict(world, (world, world), (), 0.1)
    assert told.word == expected
    assert needs.heat_met == (expected == "suits")


def test_poor_match_where_the_wanted_drop_is_not_had():
    told = word(climate(mean=22, season=2, day=1), plant(12, drop=8))
    assert told.word == "poor match"
    assert "8 K" in told.reasons[1]


def test_poor_match_where_no_indoor_spot_gives_the_cool_rest():
    # Winters of 16 degrees: a room stays near 20, however low its heating is set.
    weather = climate(mean=20, season=8)
    only = ask(plant(12, rest="cool_dry"), indoors=(spot_kind("heated-room"),))
    told = assess(weather, only).verdict
    assert told.word == "poor match"
    assert "a heated room turned down to 12 °C" in told.reasons[0]


def test_a_heated_room_may_be_turned_down_for_a_cool_rest():
    weather = climate(mean=14, season=7)
    only = ask(plant(7, rest="cool_dry"), indoors=(spot_kind("heated-room"),))
    told = assess(weather, only).verdict
    assert told.word == "indoors in winter"
    assert told.indoor_spot == "heated-room"
    assert "a heated room turned down to 7 °C" in told.sentence
    # Without a wish for rest the room is good as it is.
    usual = assess(weather, ask(plant(7), indoors=(spot_kind("heated-room"),))).verdict
    assert usual.indoor_words == "in a heated room"


def test_cannot_say_with_fewer_than_three_winters():
    weather = climate(mean=16, season=9, years=2)
    result = assess(weather, ask(plant(10)))
    assert result.verdict.word == "cannot say"
    assert result.move_in.status == "few"
    assert "even odds" not in result.move_in.why
    one = assess(climate(mean=16, season=9, years=1), ask(plant(10)))
    assert "even odds that the next is colder" in one.move_in.why
    assert one.move_in.range.earliest is not None


def test_every_month_state_is_reached_by_a_made_climate():
    # A cold spell in March of every third year is more than the risk, less than half.
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
    months = assess(changed, ask(plant(6), risk=0.2)).months
    assert months["7"] == "out"
    assert months["1"] == "in"
    assert "unsure" in months.values()
    few = assess(climate(mean=17, season=8, years=2), ask(plant(6))).months
    assert set(few.values()) == {"unknown"}


def test_cannot_say_where_the_word_changes_within_the_band():
    # Six months by the middle world, and a spread of 1.5 K on still nights.
    weather = climate(mean=16.5, season=8, years=6, measured_at="station")
    found = {
        word(weather, plant(t), "roofed-balcony", members=20).word
        for t in (9.0, 10.0, 11.0, 12.0, 13.0)
    }
    assert "cannot say" in found
    assert found & {"indoors in winter", "poor match"}


def test_a_plant_without_tolerated_limit_has_null_counts_with_the_reason():
    result = assess(climate(), ask(plant(10)))
    assert result.air.hours_below_tolerated is None
    assert "tolerated" in result.air.unknown_because["hours_below_tolerated"]
    assert result.winters.with_damaging_night is None
    known = assess(climate(), ask(plant(10, tolerated=5)))
    assert known.air.hours_below_tolerated.mid > 0


def test_typical_year_has_no_dates_no_risk_and_a_rough_reading():
    weather = climate(mean=16, season=9, years=1)
    weather = replace(weather, source=Source("typical", "typical", "", "station"))
    result = assess(weather, ask(plant(10), "as-measured"))
    assert result.winters.n == 0
    assert result.move_in.month_day is None
    assert result.move_in.status == "typical year"
    assert result.months_basis == "typical year"
    assert result.months["1"] == "in"
    assert result.verdict.word == "cannot say"
    assert "rough" in " ".join(result.verdict.reasons)


def test_root_zone_may_only_worsen():
    weather = climate(mean=14, season=8, measured_at="station")
    usual = ask(plant(8), "open-rail")
    wet = replace(usual, pot=Pot.named("terracotta", 8, "sphagnum", wetness="wet"))
    rank = [
        "suits",
        "suits with moves",
        "indoors in winter",
        "cannot say",
        "poor match",
    ]
    by_usual, by_wet = assess(weather, usual), assess(weather, wet)
    assert by_usual.governed_by == "air"
    assert rank.index(by_wet.verdict.word) >= rank.index(by_usual.verdict.word)
    assert by_wet.months == by_usual.months


BASE = {
    "spot": "roofed-balcony",
    "kind": "thin-plastic",
    "diameter_cm": 12.0,
    "medium": "pine-bark-fine",
    "wetness": "damp",
    "state": "established",
    "risk": 0.2,
    "members": 6,
    "elevation_m": None,
}
NAME = "Cattleya, standard large-flowered hybrids"
STATION = climate(mean=15, season=8, measured_at="station", years=6)


def asked(**changes):
    words = {**BASE, **changes}
    pot = {k: words.pop(k) for k in ("kind", "diameter_cm", "medium", "wetness")}
    return question(NAME, today=TODAY, pot=PotWords(**pot), **words)


def run(**changes):
    return assess(STATION, asked(**changes))


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
    big = run(diameter_cm=25.0)
    assert big.pot.time_constant_h > base.pot.time_constant_h
    assert big.root_zone.lowest_c.mid > base.root_zone.lowest_c.mid
    assert big.air == base.air


@pytest.mark.parametrize(
    ("option", "value"),
    [("kind", "terracotta"), ("medium", "sphagnum"), ("wetness", "wet")],
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
    assert run(elevation_m=400.0).air.lowest_c.mid < base.air.lowest_c.mid


def test_every_spot_kind_runs_and_indoors_is_warmer(base):
    hours = {k: run(spot=k, members=2).air.hours_below_preferred.mid for k in KINDS}
    assert hours["heated-room"] <= hours["unheated-room"] < hours["roofed-balcony"]
    assert hours["glazed-balcony"] < hours["roofed-balcony"]
    assert hours["yard-floor"] == max(hours.values())


@pytest.mark.parametrize(
    ("option", "value", "allowed"),
    [
        ("spot", "balconi", "roofed-balcony"),
        ("kind", "bucket", "terracotta"),
        ("medium", "akadma", "akadama"),
        ("medium", "50 akadama + 40 grit", "100"),
        ("risk", 7.0, "0.01 to 0.9"),
        ("diameter_cm", 900.0, "4 to 50"),
        ("state", "asleep", "established"),
        ("wetness", "moist", "damp"),
        ("members", 0, "1 to 100"),
        ("elevation_m", 9999.0, "8850"),
    ],
)
def test_bad_options_are_one_clear_line(option, value, allowed):
    with pytest.raises(InputError) as caught:
        asked(**{option: value})
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
    told = {c.topic: c.text for c in for_plant(replace(SETTING, **changes))}
    assert words in told[topic]
    assert "limits of this estimate" in told


def test_no_caution_where_it_does_not_matter():
    indoors = replace(SETTING, outdoors=False, moves=False, pot_diameter_cm=40.0)
    assert [c.topic for c in for_plant(indoors)] == ["limits of this estimate"]
