"""A record measured at the spot itself: its air as it is, the rest of the place."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from climrisk.cli.main import main
from climrisk.commands.shared.request import at_record
from climrisk.spot.ensemble import ensemble
from climrisk.spot.kinds import spot_kind
from climrisk.spot.modifiers import sited
from climrisk.spot.radiation import sky_seen
from climrisk.spot.site import parse_site
from climrisk.spot.transfer import prepare, spot_climate
from tests.made_weather_series import climate
from tests.quick import but_quick

LOGGER = climate(mean=12, season=8, day=5, years=2)
MANY = ensemble(20)


@pytest.mark.parametrize(
    "name",
    but_quick(["roofed-balcony", "glasshouse", "unheated-room"], "roofed-balcony"),
)
def test_the_air_is_the_record_s_and_the_rest_is_the_kind_s(name):
    prepared = prepare(LOGGER, MANY)
    made = spot_climate(prepared, at_record(spot_kind(name), LOGGER))
    air = np.broadcast_to(LOGGER.air_temp_c, made.air_c.shape)
    assert np.array_equal(made.air_c, air.astype(np.float32))
    dew = LOGGER.values["dew_point_c"]
    assert made.dew_point_c == pytest.approx(np.broadcast_to(dew, air.shape), abs=1e-4)
    beside = spot_climate(prepared, spot_kind(name))
    for part in ("wind_m_s", "solar_top_w_m2", "solar_wall_w_m2"):
        assert np.array_equal(getattr(made, part), getattr(beside, part))


def test_a_named_place_keeps_out_the_sky_that_an_open_one_sees():
    """Under a roof less heat is lost to the sky; the air is the same."""
    prepared = prepare(LOGGER, ensemble(1))
    night = prepared.dark
    leaf = {
        name: spot_climate(prepared, at_record(spot_kind(name), LOGGER)).leaf_c[night]
        for name in ("open-rail", "roofed-balcony")
    }
    below = {k: float(np.mean(LOGGER.air_temp_c[night] - v)) for k, v in leaf.items()}
    assert below["open-rail"] > below["roofed-balcony"] + 0.3


def test_a_station_is_moved_to_the_spot_as_before():
    station = climate(mean=12, season=8, years=1, measured_at="station")
    kind = at_record(spot_kind("roofed-balcony"), station)
    assert not kind.as_recorded
    made = spot_climate(prepare(station, ensemble(1)), kind)
    assert np.abs(made.air_c - station.air_temp_c).max() > 0.3


def test_of_several_spots_none_is_known_to_be_the_place():
    kind = spot_kind("roofed-balcony")
    assert at_record(kind, LOGGER, 1).as_recorded
    assert not at_record(kind, LOGGER, 2).as_recorded


def test_an_unknown_place_is_drawn_between_a_corner_and_open_ground():
    kind = at_record(None, LOGGER)
    assert kind.name == "as-measured"
    made = spot_climate(prepare(LOGGER, MANY), kind)
    open_air = spot_climate(prepare(LOGGER, ensemble(1)), spot_kind("as-measured"))
    light, most = made.solar_top_w_m2.mean(axis=0), open_air.solar_top_w_m2.mean()
    assert light.min() < 0.2 * most
    assert 0.9 * most < light.max() <= most * 1.0001
    assert light.mean() == pytest.approx(0.5 * most, rel=0.05)
    wind = made.wind_m_s.mean(axis=0) / open_air.wind_m_s.mean()
    assert wind.min() < 0.1 < 0.6 < wind.max()


def test_particulars_of_an_unnamed_place_hide_sky_and_sun_alike():
    # Eaves of 1.5 m, 1.5 m above: by the rule of a level top, 1 - sin(45°) of 0.9.
    kind = at_record(None, LOGGER).with_site(
        parse_site(["eaves=1.5", "eaves_above=1.5"])
    )
    here = sited(kind, 44.0)
    assert sky_seen(here)[1] == pytest.approx(0.9 * (1 - math.sin(math.pi / 4)))
    assert sky_seen(here)[0] == pytest.approx(0.4 * math.cos(math.pi / 4))


@pytest.fixture
def logger_file(tmp_path):
    path = tmp_path / "log.csv"
    rows = [
        f"{str(t).replace('T', ' ')},{c:.1f}"
        for t, c in zip(LOGGER.time, LOGGER.air_temp_c[:, 0], strict=True)
    ]
    path.write_text("\n".join(["time,temperature °C", *rows]), "utf-8")
    return ["--file", str(path), "--at", "44,0", "--clock", "utc", "--members", "8"]


def run_json(capsys, *words):
    assert main(["assess", "Cymbidium hybrids", *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_a_logger_without_a_place_says_what_is_assumed(capsys, logger_file):
    alone = run_json(capsys, *logger_file)
    named = run_json(capsys, *logger_file, "--spot", "roofed-balcony")
    rows = {a["variable"]: a for a in alone["weather"]["assumed"]}
    assert rows["sky and sun seen"]["value"] == "50% of those of open ground"
    assert rows["wind at the plant"]["value"] == "0.4 of the wind at 10 m"
    assert "sky and sun seen" not in {
        a["variable"] for a in named["weather"]["assumed"]
    }
    assert "its air is used as it is" in " ".join(named["spot"]["notes"])
    assert named["spot"]["still_offset_k"] is None
    # The air is the same; the light of the unknown place has a wide range.
    assert alone["air"] == named["air"]
    july = alone["light"]["months"]["7"]["daily_light_mol_m2"]
    assert july["high"] > 2 * july["low"]
