"""The nearest stations are 63 km away and 480 m higher, or 90 km away on the coast."""

from __future__ import annotations

import pytest
from loopback_weather import LoopbackWeather, Station
from made_weather import synthetic

from climrisk.cli.main import main
from tests.stories.nightly import ask
from tests.unit.test_station_client import at_home

YEARS = range(2020, 2025)
HOME = "45.0,15.3,18"
INLAND = ("98001", 45.567, 15.3, 498)
COAST = ("98002", 45.0, 14.155, 5)


@pytest.fixture(scope="module")
def stations():
    return [
        Station(*place, frame=synthetic(YEARS, *place[1:]), name=name)
        for place, name in ((INLAND, "Ridge"), (COAST, "Harbor"))
    ]


@pytest.fixture
def served(stations, tmp_path, monkeypatch):
    at_home(monkeypatch, tmp_path)
    with LoopbackWeather(stations) as server, server.client(tmp_path / "client"):
        yield server


def assess(capsys, *options):
    return ask(
        capsys,
        main,
        *("assess", "Masdevallia", "--at", HOME, "--as-of", "2025-01-31"),
        *("--members", "20", *options),
    )


def test_a_far_station_widens_the_band_and_the_verdict_is_rough(capsys, served):
    result = assess(capsys)
    shows_both_stations(result)
    says_what_to_do(result)


def shows_both_stations(result):
    station = result["weather"]["station"]
    assert station["distance_km"] == pytest.approx(90, abs=1)
    assert station["rough"] is True
    assert len(station["others"]) == 1
    other = station["others"][0]
    assert "Ridge" in other
    assert "63 km" in other
    assert "480 m above" in other
    low, high = (result["air"]["lowest_c"][k] for k in ("low", "high"))
    # At least 3 K to each side, 8 members in 10.
    assert high - low >= 6


def says_what_to_do(result):
    assert result["verdict"]["basis"] == "far station"
    assert "only roughly" in result["verdict"]["sentence"]
    far = next(w["words"] for w in result["weak"] if w["what"] == "far station")
    assert "90 km" in far
    first = result["would_change"]["words"][0]
    assert "four to six weeks" in first
    # How much warmer the spot is than the station, with its standard deviation.
    assert "±" in first


def test_heights_are_bridged_by_the_lapse_of_minima_and_said_so(capsys, served):
    """By the station 480 m higher: 3.5 K/km, never 6.5, and the band knows it."""
    result = ask(
        capsys,
        main,
        *("winter", "--station", INLAND[0], "--as-of", "2025-01-31"),
        *("--members", "1", "--spot", "as-measured"),
    )
    down = ask(
        capsys,
        main,
        *("winter", "--station", INLAND[0], "--as-of", "2025-01-31"),
        *("--members", "1", "--spot", "as-measured", "--elevation", "18"),
    )
    warmer = down["worst"][0]["lowest_c"] - result["worst"][0]["lowest_c"]
    assert warmer == pytest.approx(3.5 * 0.480, abs=0.11)


def test_without_one_whole_winter_there_is_no_word(capsys, served):
    result = ask(
        capsys,
        main,
        *("assess", "Masdevallia", "--at", HOME, "--members", "3"),
        *("--from", "2023-03-01", "--to", "2023-11-30", "--as-of", "2025-01-31"),
    )
    assert result["winters"]["n"] == 0
    assert result["verdict"]["word"] == "cannot say"
    for side in ("move_in", "move_out"):
        assert result[side]["month_day"] is None
        assert result[side]["status"] == "few"
    assert result["risk_curve"]["autumn"] == []
    assert result["winters"]["tail"]["levels"] == []
