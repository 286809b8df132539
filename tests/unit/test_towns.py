"""Towns by name; coordinates are facts of geography, to a tenth of a degree."""

from __future__ import annotations

import pytest

from climrisk.errors import InputError
from climrisk.weather.towns import find_town


@pytest.mark.parametrize(
    ("text", "lat", "lon", "zone"),
    [
        ("Zadar", 44.1, 15.2, "Europe/Zagreb"),
        ("zadar,hr", 44.1, 15.2, "Europe/Zagreb"),
        ("São Paulo", -23.5, -46.6, "America/Sao_Paulo"),
        ("Sao Paulo", -23.5, -46.6, "America/Sao_Paulo"),
        ("Wien", 48.2, 16.4, "Europe/Vienna"),
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
    assert "37.215" in caught.value.line()


def test_unknown_names_the_nearest():
    with pytest.raises(InputError, match="Zadar,HR"):
        find_town("Zadarr")
