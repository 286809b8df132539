"""Towns by name; coordinates are facts of geography, to a tenth of a degree."""

from __future__ import annotations

import pytest

from climrisk.core.errors import InputError
from climrisk.weather.towns import find_town, suggest_towns, town_key


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
        # By the name of a state or province, and of a country.
        ("San Diego, California", 32.7, -117.2, "America/Los_Angeles"),
        ("Victoria, British Columbia", 48.4, -123.4, "America/Vancouver"),
        ("Valencia, Spain", 39.5, -0.4, "Europe/Madrid"),
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


def test_a_beginning_suggests_the_largest_towns_first():
    found = suggest_towns("zad")
    assert (found[0].name, found[0].lies_in) == ("Zadar", "Croatia")
    own = [t for t in suggest_towns("san di", most=50) if t.name == "San Diego"]
    assert own[0].lies_in == "California, United States"
    assert [t.population for t in own] == sorted(t.population for t in own)[::-1]


def test_what_follows_a_comma_need_not_be_complete():
    assert [t.lies_in for t in suggest_towns("Valencia, Spa")] == ["Spain"]
    regions = {t.region for t in suggest_towns("springfield, ill")}
    assert regions == {"IL"}
    assert suggest_towns("springfield, atlantis") == []


@pytest.mark.parametrize("text", ["", "z", ",", "|", "%%", "x" * 500])
def test_too_little_or_nonsense_suggests_nothing(text):
    assert suggest_towns(text) == []


def test_a_name_as_it_is_offered_finds_its_town_again():
    for town in suggest_towns("springfield", most=20):
        assert find_town(town.typed).region == town.region
