"""The home file: every fault in one line, every key of use."""

from __future__ import annotations

import json
import tomllib
from pathlib import Path

import pytest

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.home import (
    Home,
    HomePlant,
    HomeRoom,
    HomeSpot,
    HomeWeather,
    demo_home,
    parse_home,
)
from tests.made_files import logger_csv, truth

EXAMPLE = Path(__file__).parents[2] / "examples" / "home.toml"

PLAIN = """
[weather]
demo = true
[[spot]]
name = "rail"
kind = "open-rail"
[[plant]]
name = "Cymbidium, standard hybrids"
spot = "rail"
"""


def call(capsys, *arguments):
    status = main(list(arguments))
    out, err = capsys.readouterr()
    return status, out, err


FAULTS = [
    ("[weather", "not a TOML file"),
    (PLAIN.replace("demo = true", "dem = true"), "weather.dem"),
    (PLAIN.replace('kind = "open-rail"', 'kind = "attic"'), "attic"),
    (PLAIN.replace('spot = "rail"', 'spot = "roof"'), "no spot here"),
    (PLAIN + 'room = "rail"', "no room here"),
    (PLAIN + '[[room]]\nname = "r"\nkind = "glasshouse"', "unheated-room"),
    (PLAIN.replace("demo = true", 'demo = true\ntown = "X"'), "demo and town"),
    ('at = "here"\n' + PLAIN, "LAT,LON"),
    (PLAIN + "risk = 3", "risk"),
    (PLAIN + '[answers]\nx = "blu vanda"', 'no plant called "blu vanda"'),
    (PLAIN + 'pot_color = "mauve"', "plant 1.pot_color"),
    (PLAIN.replace("Cymbidium, standard hybrids", "Blue Fountain"), "Blue Fountain"),
    (PLAIN + 'medium = "marble"', "marble"),
    (PLAIN + 'pot = "bucket"', "bucket"),
    (PLAIN + "pot_diameter_cm = 400", "400"),
    (PLAIN + "plant_height_cm = 0", "plant_height_cm"),
    (PLAIN + "leaf_area_cm2 = -5", "leaf_area_cm2"),
    (PLAIN + "count = 0", "count"),
    (PLAIN + 'state = "asleep"', "asleep"),
    ("risk = 7\n" + PLAIN, "risk"),
    (PLAIN + '[[spot]]\nname = "rail"\nkind = "open-rail"', "twice"),
    (PLAIN.replace("[weather]\ndemo = true\n", ""), "weather"),
]


@pytest.mark.parametrize(("text", "word"), FAULTS, ids=lambda v: str(v)[-30:])
def test_a_fault_is_one_line_and_status_two(capsys, tmp_path, text, word):
    path = tmp_path / "home.toml"
    path.write_text(text, "utf-8")
    status, out, err = call(capsys, "calendar", "--home", str(path))
    assert status == 2
    assert out == ""
    assert err.count("\n") == 1
    assert word in err
    assert path.read_text("utf-8") == text


def test_no_such_home_file_and_no_text(capsys, tmp_path):
    for path in (tmp_path / "none.toml", tmp_path):
        status, _, err = call(capsys, "winter", "--home", str(path))
        assert status == 2
        assert str(path) in err
    binary = tmp_path / "b.toml"
    binary.write_bytes(b"\xff\xfe\x00")
    assert call(capsys, "winter", "--home", str(binary))[0] == 2


def test_example_shows_every_key():
    text = EXAMPLE.read_text("utf-8")
    shown = parse_home(text, where="example")
    assert len(shown.plant) == 2
    data = tomllib.loads(text)
    commented = [line for line in text.splitlines() if line.startswith("# ")]
    for key in HomeWeather.model_fields:
        is_shown = key in data["weather"] or any(f"# {key} = " in c for c in commented)
        assert is_shown, key
    tables = ((HomeSpot, "spot"), (HomeRoom, "room"), (HomePlant, "plant"))
    for model, table in tables:
        for key in model.model_fields:
            is_shown = any(f"# {key} = " in c for c in commented)
            # What a room may tell is what a spot may.
            rows = data[table] + (data["spot"] if table == "room" else [])
            is_shown |= any(key in row for row in rows)
            assert is_shown or key == "learned", key
    assert "[spot.learned]" in text
    assert set(Home.model_fields) <= set(data)


def test_example_and_demo_home_run(capsys):
    status, out, _ = call(
        capsys, "calendar", "--home", str(EXAMPLE), "--members", "3", "--json"
    )
    document = json.loads(out)
    assert status == 0
    assert [r["label"] for r in document["months"]] == [
        "the white one",
        "Cymbidium, standard hybrids",
    ]
    assert document["home"] == "Two spots in Veladrag"
    assert [k.name for k in demo_home().indoors] == ["window-sill", "unheated-room"]


def test_paths_count_from_the_home_files_folder(capsys, tmp_path, monkeypatch):
    logger_csv(tmp_path / "log.csv", truth("2021-01-01", 24 * 400), clock="utc")
    home = tmp_path / "home.toml"
    home.write_text(
        PLAIN.replace(
            "demo = true", 'file = "log.csv"\nclock = "utc"\nat = "45.8,15.9"'
        ),
        "utf-8",
    )
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    monkeypatch.chdir(elsewhere)
    run = ("exposure", "--home", str(home), "--below", "9", "--json")
    status, out, _ = call(capsys, *run)
    assert status == 0
    assert json.loads(out)["weather"]["kind"] == "logger"


def test_options_go_before_the_home_file(capsys):
    run = ("winter", "--home", str(EXAMPLE), "--members", "1", "--json")
    own = json.loads(call(capsys, *run, "--spot", "balcony")[1])
    assert own["spot"] == "balcony"
    assert own["spot_kind"] == "roofed-balcony"
    other = json.loads(call(capsys, *run, "--spot", "open-rail")[1])
    assert other["spot_kind"] == "open-rail"
    few = json.loads(call(capsys, *run, "--spot", "balcony", "--years", "4")[1])
    assert len(few["winters"]) == 4


def test_assess_takes_pot_and_spot_of_the_home(capsys):
    # The keeper's own name of the plant is enough.
    few = ("--years", "4", "--members", "2")
    run = ("assess", "The white one", "--home", str(EXAMPLE), *few)
    document = json.loads(call(capsys, *run, "--json")[1])
    assert document["plant"]["name"] == "Phalaenopsis hybrids"
    assert document["pot"]["kind"] == "clear-plastic"
    assert document["pot"]["medium"].startswith("50")
    assert document["spot"]["kind"] == "roofed-balcony"
    other = json.loads(call(capsys, *run, "--pot", "glass", "--json")[1])
    assert other["pot"]["kind"] == "glass"


def test_a_spot_that_is_neither_kind_nor_name_is_refused():
    with pytest.raises(InputError, match="no such spot"):
        demo_home().spot_named("cellar")


def test_the_size_of_a_plant_in_the_file_goes_into_the_wind(capsys, tmp_path):
    def falls(extra, *more):
        path = tmp_path / "home.toml"
        path.write_text(PLAIN + extra, "utf-8")
        status, out, err = call(
            capsys,
            *("assess", "Cymbidium, standard hybrids", "--home", str(path), "--json"),
            *("--years", "4", "--members", "1", *more),
        )
        assert status == 0, err
        return json.loads(out)["wind"]["toppling"]

    usual = falls("")
    tall = falls("plant_height_cm = 90\nleaf_area_cm2 = 864")
    assert usual["assumed"] == ["plant height", "leaf area"]
    assert tall["assumed"] == []
    assert tall["plant_height_cm"] == 90
    assert tall["falls_at_m_s"]["mid"] < usual["falls_at_m_s"]["mid"]
    # What is said goes before the file.
    said = falls("plant_height_cm = 90", "--plant-height", "20")
    assert said["plant_height_cm"] == 20
