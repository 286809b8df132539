"""Cautions of wet, cold roots: where they must appear, and where they are noise."""

from __future__ import annotations

from dataclasses import replace

import pytest

from climrisk.advice.cautions import Setting, for_plant, wet_and_cold, winter_rain
from climrisk.core.quantities import in_units
from climrisk.plants.registry import all_profiles
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.weather.synthetic import demo_weather
from tests import asking

SETTING = Setting(
    toxic_note=None,
    state="established",
    medium="pine-bark-fine",
    pot="thin-plastic",
    pot_diameter_cm=12.0,
    outdoors=True,
    glazed=False,
    moves=False,
)


def topics(cautions):
    return [c.topic for c in cautions]


@pytest.fixture(scope="module")
def hours():
    return demo_weather().between(0, 24 * 365 * 3)


def test_a_reservoir_is_emptied_while_nights_are_cold():
    cautions = for_plant(replace(SETTING, pot="self-watering", preferred_c=13.0))
    (text,) = (c.text for c in cautions if c.topic == "reservoir in the cold")
    assert "Empty the reservoir" in text
    assert "below 13 °C" in in_units(text, "metric")
    assert "below 55 °F" in in_units(text, "us")
    # Without a plant's number the sentence still reads.
    (general,) = wet_and_cold("self-watering", "expanded-clay", "wet")
    assert "below the minimum the plant prefers" in general.text


@pytest.mark.parametrize(
    ("medium", "wetness", "said"),
    [
        ("pine-bark-fine", "damp", False),
        ("pine-bark-fine", "wet", True),
        ("sphagnum", "damp", True),
        ("50 peat-mix + 50 perlite", "damp", True),
        ("lava-rock", "dry", False),
    ],
)
def test_a_medium_that_stays_wet_has_its_caution(medium, wetness, said):
    cautions = for_plant(replace(SETTING, medium=medium, wetness=wetness))
    assert ("wet, cold medium" in topics(cautions)) == said


def test_winter_rain_is_kept_off_every_plant_that_rests_dry():
    for plant in all_profiles():
        for name in KINDS:
            kind = spot_kind(name)
            cautions = for_plant(replace(SETTING, rain=kind.rain, rest=plant.rest))
            rests = plant.rest in ("dry", "cool_dry")
            assert ("winter rain" in topics(cautions)) == (kind.rain and rests)
    assert winter_rain("none", rain=True) == []
    (text,) = winter_rain("cool_dry", rain=True)
    assert "rests cool and dry" in text.text


def test_pots_and_remedies_carry_them(hours):
    result = asking.pots(
        hours,
        plant="Masdevallia",
        pot=["self-watering", "thin-plastic"],
        medium=["sphagnum"],
        members=1,
    )
    both = {"reservoir in the cold", "wet, cold medium"}
    assert both <= set(topics(result.cautions))
    assert len(topics(result.cautions)) == len(set(topics(result.cautions)))
    helped = asking.remedies(
        "Dendrobium nobile type",
        hours,
        spot="open-rail",
        pot="self-watering",
        members=1,
    )
    assert {"reservoir in the cold", "winter rain"} <= set(topics(helped.cautions))
    assert any("empty the reservoir" in r.name for r in helped.remedies)
    bought = asking.assess("Masdevallia", hours, pot="self-watering", members=1)
    assert "reservoir in the cold" in topics(bought.cautions)
