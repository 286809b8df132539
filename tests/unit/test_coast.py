"""Distance from the sea: towns whose place on the map is known."""

from __future__ import annotations

import pytest

from climrisk.core.quantities import in_units
from climrisk.weather.stations.coast import coast_km
from climrisk.weather.stations.info import StationInfo, judged

# Plain geography, read off any atlas; the mask is good to about 5 km.
BY_THE_SEA = {
    "Split": (43.51, 16.44),
    "Lisbon": (38.72, -9.14),
    "Venice": (45.44, 12.33),
    "Sydney": (-33.87, 151.21),
    "Cape Town": (-33.92, 18.42),
    "Honolulu": (21.31, -157.86),
}
INLAND = {
    "Zagreb": (45.81, 15.98),
    "Berlin": (52.52, 13.40),
    "Denver": (39.74, -104.99),
    "Chicago, by a lake": (41.88, -87.63),
    "Moscow": (55.75, 37.62),
}
#: Rome's Tiber mouth lies about 24 km off, Pisa about 10 km from the beach.
BETWEEN = {"Rome": (41.90, 12.48, 24), "Pisa": (43.72, 10.40, 10)}


@pytest.mark.parametrize("town", BY_THE_SEA)
def test_towns_by_the_sea(town):
    assert coast_km(*BY_THE_SEA[town]) <= 8


@pytest.mark.parametrize("town", INLAND)
def test_towns_far_inland_and_by_lakes(town):
    assert coast_km(*INLAND[town]) is None


@pytest.mark.parametrize("town", BETWEEN)
def test_towns_between(town):
    lat, lon, km = BETWEEN[town]
    assert coast_km(lat, lon) == pytest.approx(km, abs=7)


def test_the_date_line_is_no_coast():
    # Taveuni lies on the 180th meridian: the sea beyond it is as near as this side's.
    assert coast_km(-16.85, 179.97) <= 12
    assert coast_km(-16.85, -179.97) <= 12


def test_beyond_the_mask_nothing_is_known():
    assert coast_km(82.0, 0.0) is None
    assert coast_km(-75.0, 0.0) is None


def station(lat, lon, km):
    return StationInfo(
        *("X", "made", "XX", lat, lon, 50.0, "Europe/Zagreb", km),
        *("2000-01-01", "2020-12-31"),
    )


def test_a_station_as_near_the_sea_is_better_than_one_behind_it():
    split = (43.51, 16.44)
    shore, behind = station(43.54, 16.30, 12.0), station(43.72, 16.65, 12.0)
    near, near_distance = judged(shore, 50.0, split)
    far, far_distance = judged(behind, 50.0, split)
    assert near < far
    assert "station by the sea, the place by the sea" in near_distance.reasons
    assert any(
        "km from the sea, the place by the sea" in r
        for r in (in_units(x, "metric") for x in far_distance.reasons)
    )
    assert far_distance.coast_km > near_distance.coast_km


def test_inland_the_sea_is_not_spoken_of():
    _, away = judged(station(52.4, 13.5, 10.0), 50.0, (52.52, 13.40))
    assert not any("sea" in reason for reason in away.reasons)
