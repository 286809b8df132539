"""Towns by name; coordinates are facts of geography, to a tenth of a degree."""

from __future__ import annotations

import pytest

from climrisk.core.errors import InputError
from climrisk.weather.towns import find_town, town_key


@pytest.mark.parametrize(
    ("text", "lat", "lon", "zone"),
    [
        ("Zadar", 44.1, 15.2, "Europe/Zagreb"),
        ("zadar,hr", 44.1, 15.2, "Europe/Zagreb"),
        ("ZADAR , Croatia", 44.1, 15.2, "Europe/Zagreb"),
        ("São Paulo", -23.5, -46.6, "America/Sao_Paulo"),
        ("Sao Paulo", -23.5, -46.6, "America/Sao_Paulo"),
        # Names in the town's own tongue and in others.
        ("Wien", 48.2, 16.4, "Europe/Vienna"),
        ("Muenchen", 48.1, 11.6, "Europe/Berlin"),
        ("München", 48.1, 11.6, "Europe/Berlin"),
        ("Fiume", 45.3, 14.4, "Europe/Zagreb"),
        # Letters that are no letter with a mark.
        ("Lodz", 51.8, 19.5, "Europe/Warsaw"),
        ("Łódź", 51.8, 19.5, "Europe/Warsaw"),
        ("Giessen", 50.6, 8.7, "Europe/Berlin"),
        ("Gießen", 50.6, 8.7, "Europe/Berlin"),
        ("Tromso", 69.6, 19.0, "Europe/Oslo"),
        # By a state, as Americans write a town, and by state and country.
        ("Springfield, IL", 39.8, -89.6, "America/Chicago"),
        ("Springfield, MA, US", 42.1, -72.6, "America/New_York"),
    ],
)
def test_found(text, lat, lon, zone):
    town = find_town(text)
    assert town.latitude_deg == pytest.approx(lat, abs=0.1)
    assert town.longitude_deg == pytest.approx(lon, abs=0.1)
    assert town.zone == zone


def test_several_of_a_name_are_a_question_with_places():
    with pytest.raises(InputError, match="several towns") as caught:
        find_town("Springfield")
    assert "Springfield,MO,US (37.215,-93.298)" in caught.value.line()
    assert "Say which, such as Springfield,MO,US" in caught.value.line()


def test_several_countries_are_a_question_that_the_country_answers():
    with pytest.raises(InputError, match="several towns") as caught:
        find_town("Valencia")
    assert "Valencia,VE" in caught.value.line()
    assert "Valencia,ES" in caught.value.line()
    assert find_town("Valencia,ES").longitude_deg == pytest.approx(-0.4, abs=0.1)


def test_a_clear_winner_wins_and_the_others_are_said():
    town = find_town("Paris")
    assert (town.country, town.population > 2_000_000) == ("FR", True)
    assert "Paris,TX,US" in town.notes[0]
    assert find_town("Zadar").notes == ()
    # A name in another tongue, against small towns that are called just so.
    assert find_town("Roma").country == "IT"


@pytest.mark.parametrize("text", ["Zadarr", "Zadar,IT", "Zader, Croatia"])
def test_unknown_names_the_nearest(text):
    with pytest.raises(InputError, match="Zadar,HR") as caught:
        find_town(text)
    assert caught.value.exit_status == 2


@pytest.mark.parametrize("text", ["", ",HR", "%", "|", "Задар", "\n"])
def test_no_name_is_no_town(text):
    with pytest.raises(InputError, match="unknown town") as caught:
        find_town(text)
    assert "Latin letters" in caught.value.line()
    assert "\n" not in caught.value.line()


def test_keys():
    assert town_key("  Xi’an ") == town_key("XIAN") == "xian"
    assert town_key("Saint-Étienne") == town_key("saint  etienne")
