"""Whether a plant is likely to flower, from wanted nights counted by hand."""

from __future__ import annotations

import numpy as np
import pytest

from climrisk.advice.flowering import Need, cool_spell_met, flowering
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.core.quantities import in_units
from climrisk.plants.registry import find
from climrisk.spot.kinds import spot_kind
from tests.made_nights import days_of, hours, judged, record
from tests.made_plants import plant

#: Its window: 30 nights of 8 to 15.5 °C from August to November (two societies).
CYMBIDIUM = plant(7.0, tolerated=4.0, name="Cymbidium, standard hybrids")
OCTOBER, NOVEMBER = list(days_of(10)), list(days_of(11))


def of_needs(*met):
    return flowering([Need(m, f"need {i}") for i, m in enumerate(met)]).word


def test_a_need_that_is_not_met_decides_then_one_that_is_not_known():
    assert of_needs(True, True) == "likely"
    assert of_needs(True, False, None) == "unlikely"
    assert of_needs(True, None) == "cannot say"
    assert of_needs() == "cannot say"
    assert flowering([Need(True, "a"), Need(False, "b")]).why == "b"


@pytest.mark.parametrize(
    ("nights", "word"),
    [
        ([30, 30, 30, 30], "likely"),
        ([30, 30, 0, 0], "likely"),  # half of the winters
        ([30, 29, 29, 29], "unlikely"),
        ([0, 0, 0, 0], "unlikely"),
    ],
)
def test_wanted_nights_of_a_record(nights, word):
    lowest = record(4, mild=17.0)
    for year, number in enumerate(nights):
        lowest[year, (OCTOBER + NOVEMBER)[:number]] = 12.0
    found = judged(hours(lowest), CYMBIDIUM)
    assert found.verdict.word == "suits"
    assert found.flowering.word == word
    assert f"gets about {np.median(nights):.0f}" in found.flowering.why


@pytest.mark.parametrize(
    ("temperature", "word"),
    [(7.9, "unlikely"), (8.0, "likely"), (15.5, "likely"), (15.6, "unlikely")],
)
def test_both_ends_of_the_window_are_wanted(temperature, word):
    cold = [(None, OCTOBER, temperature)]
    found = judged(hours(record(4, mild=17.0, cold=cold)), CYMBIDIUM)
    assert found.flowering.word == word


@pytest.mark.parametrize(
    ("number", "word"),
    [(3, "unlikely"), (4, "cannot say"), (20, "cannot say"), (21, "likely")],
)
def test_where_no_source_says_how_many_nights(number, word):
    """A cool rest: nights from what it prefers to 14 °C, October to February."""
    lowest = record(4, mild=17.0)
    lowest[:, list(days_of(12))[:number]] = 12.0
    made = plant(10.0, tolerated=5.0, rest="cool_dry")
    assert judged(hours(lowest), made).flowering.word == word
    share = cool_spell_met(None, None, float(number))
    assert share is {"unlikely": False, "cannot say": None, "likely": True}[word]


@pytest.mark.parametrize(("wanted", "word"), [(12.0, "likely"), (15.0, "unlikely")])
def test_a_night_drop_settles_flowering_and_never_the_verdict(wanted, word):
    """Days of 24 and nights of 15 °C: two thirds of 12 are fewer than 9, of 15 more."""
    weather = hours(record(3))
    found = judged(weather, plant(10.0, tolerated=5.0, drop=wanted))
    assert found.flowering.word == word
    assert "about 9 °C" in in_units(found.flowering.why, "metric")
    assert found.verdict == judged(weather, plant(10.0, tolerated=5.0)).verdict


def test_warm_nights_speak_of_flowering_where_they_do_not_rule_out():
    lowest = record(3)
    lowest[:, list(days_of(7))] = 21.0
    found = judged(hours(lowest), plant(10.0, tolerated=5.0, warm_night=20.0))
    assert found.verdict.word == "suits"
    assert found.flowering.word == "likely"
    assert in_units(found.flowering.why, "metric").startswith("31 nights above 20 °C")


def test_without_a_known_need_nothing_is_said():
    found = judged(hours(record(3)), plant(10.0)).flowering
    assert (found.word, found.why) == (
        "cannot say",
        "no source says what it needs to flower",
    )


def test_where_it_would_not_live_flowering_is_not_said():
    cold = [(None, range(365), 2.0)]
    found = judged(hours(record(4, cold=cold)), CYMBIDIUM)
    assert found.verdict.word == "poor match"
    assert found.flowering.word == "cannot say"
    few = judged(hours(record(2)), CYMBIDIUM)
    assert (few.verdict.word, few.flowering.word) == ("cannot say", "cannot say")


def test_wanted_nights_are_had_in_the_room_where_it_winters():
    """A cool rest of three weeks at 10 to 15 °C, October to February: the balcony is
    too cold in December and January; an unheated room gives it, a heated one not."""
    made = find("Dendrobium nobile type")
    lowest = record(4, mild=17.0, cold=[(None, days_of(m), 2.0) for m in (12, 1)])
    highest = np.where(lowest == 2.0, 14.0, 24.0)
    highest[:, list(days_of(11))[-3:]] = 14.0
    weather = hours(lowest, highest=np.maximum(highest, lowest))
    rooms = {
        name: NamedSpot(name, spot_kind(name))
        for name in ("unheated-room", "heated-room")
    }
    words = {}
    for name, room in rooms.items():
        judgement = judged(weather, made, rooms=[room])
        assert judgement.verdict.months_in == (12, 1)
        nights = judgement.home.nights(room.kind)
        inside = np.isin(nights.month, (12, 1)) & nights.valid[:, 0]
        wanted = (nights.lowest_c[inside] >= 10) & (nights.lowest_c[inside] <= 15)
        words[name] = (judgement.flowering.word, wanted.sum() / 4 >= 21)
    assert words == {
        "unheated-room": ("likely", True),
        "heated-room": ("unlikely", False),
    }
    # Of both rooms the one that gives the rest is chosen.
    both = judged(weather, made, rooms=[rooms["heated-room"], rooms["unheated-room"]])
    assert both.verdict.room.name == "unheated-room"


@pytest.mark.parametrize("name", ["Cymbidium, standard hybrids", "Masdevallia"])
def test_four_weeks_of_a_logger_are_too_few_for_any_word(name):
    """A record that holds no season of the window still gets an answer."""
    weather = hours(record(1)).between(0, 24 * 28)
    judgement = judged(weather, find(name))
    assert judgement.verdict.word == "cannot say"
    assert judgement.flowering.word == "cannot say"


def test_wanted_nights_in_a_typical_year_run_over_the_new_year():
    lowest = record(1, mild=17.0)
    lowest[0, list(days_of(12))[-11:] + list(days_of(1))[:10]] = 12.0
    made = plant(10.0, tolerated=5.0, rest="cool_dry")
    found = judged(hours(lowest, typical=True), made).flowering
    assert found.word == "likely"
    assert "gets about 21" in found.why
