"""JSON documents: each by its published schema, no NaN, low <= mid <= high."""

from __future__ import annotations

import hashlib
import json
import math
import tempfile
from functools import lru_cache
from pathlib import Path

import jsonschema
import numpy as np
import pytest

import climrisk
from climrisk.cli.main import main
from climrisk.cli.schema import documents
from climrisk.core.atomic_files import remove
from climrisk.home import demo_home_text
from climrisk.plants.registry import find
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.archive_file import StationYear
from tests.made_files import logger_csv, truth
from tests.quick import but_quick, shorten_demo
from tests.unit.test_options import made_grid

RUNS = {
    "exposure": ("exposure", "--demo", "--years", "5", "--below", "5", "--above", "30"),
    "assess": ("assess", "Masdevallia", "--demo", "--years", "5", "--members", "4"),
    "assess-several": (
        "assess",
        "Dendrobium",
        "--demo",
        "--years",
        "3",
        "--members",
        "2",
    ),
    "remedies": ("remedies", "Masdevallia", "--demo", "--years", "3", "--members", "2"),
    "arrive": ("arrive", "Masdevallia", "--demo", "--years", "5", "--members", "2"),
    "winter": ("winter", "--demo", "--years", "5", "--members", "4"),
    "calendar": ("calendar", "--demo", "--years", "5", "--members", "4"),
    "pots": ("pots", "--demo", "--years", "4", "--members", "2", "--pot", "glass"),
    "learn": ("learn", "--demo"),
    "region": ("region", "GRID", "--plant", "Masdevallia", "--at", "36.05,-8"),
    "spots": ("spots", "Masdevallia", "--demo", "--years", "3", "--members", "2"),
    "init": ("init", "new.toml", "--demo", "--plant", "Masdevallia"),
    "review": ("review", "--demo", "--members", "3"),
    "event": ("event", "--demo", "--members", "3"),
    "tonight": ("tonight", "--demo", "--words", "4, wind 6 km/h, clear"),
    "plants": ("plants", "Masdevallia"),
    "logger": ("logger", "LOG", "--at", "45.2,14.6,18", "--clock", "utc"),
    "stations": ("stations", "--archive"),
    "demo": ("demo", "--out", "deep/er"),
}
#: What is quick to do twice.
QUICK = sorted(set(RUNS) - {"demo", "assess-several"})
#: What a document states of speed.
STATED = ("seconds",)


@lru_cache(maxsize=1)
def made_log():
    folder = Path(tempfile.mkdtemp())
    return str(logger_csv(folder / "log.csv", truth("2021-01-01", 24 * 40)))


def run(capsys, *arguments):
    made = {"GRID": made_grid, "LOG": made_log}
    assert main([made[a]() if a in made else a for a in arguments]) == 0
    return capsys.readouterr().out


#: The documents of the commands, each made once.
_MADE: dict[str, str] = {}


@pytest.fixture(scope="module")
def place(tmp_path_factory):
    return tmp_path_factory.mktemp("place")


@pytest.fixture
def made(capsys, place, monkeypatch):
    """Return a function that gives the document of a command as it was printed."""
    monkeypatch.setenv("CLIMRISK_DATA", str(place / "data"))

    def document(command):
        monkeypatch.chdir(place)
        if command == "demo":
            shorten_demo(monkeypatch)
        if command not in _MADE:
            _MADE[command] = run(capsys, *RUNS[command], "--json")
        return _MADE[command]

    return document


def walk(value, path=""):
    yield path, value
    if isinstance(value, dict):
        for key, part in value.items():
            yield from walk(part, f"{path}/{key}")
    elif isinstance(value, list):
        for i, part in enumerate(value):
            yield from walk(part, f"{path}/{i}")


@pytest.mark.parametrize("command", sorted(RUNS))
def test_document_keeps_its_schema(capsys, made, command):
    published = json.loads(run(capsys, "schema"))
    assert set(documents()) == {*RUNS, "carried"}
    assert set(published) == {*documents(), "inputs", "home file"}
    document = json.loads(made(command), parse_constant=pytest.fail)  # NaN, Infinity
    jsonschema.Draft202012Validator(
        published[command], format_checker=jsonschema.FormatChecker()
    ).validate(document)
    assert document["schema"] == 1
    assert document["command"] == command
    for path, value in walk(document):
        if isinstance(value, dict) and {"low", "mid", "high"} <= set(value):
            band = [value["low"], value["mid"], value["high"]]
            assert band == [None] * 3 or band == sorted(band), path
        if isinstance(value, float):
            assert math.isfinite(value), path


@pytest.mark.parametrize("command", but_quick(sorted(RUNS), *QUICK))
def test_a_document_repeats_itself(capsys, made, place, tmp_path, monkeypatch, command):
    """The same answer, to the last byte but for the seconds that it took."""
    text = made(command)
    (tmp_path / "said.json").write_text(text, "utf-8")
    written = {"init": "new.toml", "demo": "deep"}.get(command)
    if written:
        assert main(["--repeat", str(tmp_path / "said.json")]) == 2
        assert "is there already" in capsys.readouterr().err
        remove(place / written)
    assert main(["--repeat", str(tmp_path / "said.json")]) == 0
    again = capsys.readouterr()
    assert "differs" not in again.err
    assert _unhurried(again.out) == _unhurried(text)


def _unhurried(text):
    document = json.loads(text)
    return json.dumps(document | {k: None for k in STATED if k in document})


@pytest.mark.parametrize("command", sorted(RUNS))
def test_a_document_says_where_its_answer_comes_from(made, command):
    document = json.loads(made(command))
    said = document["provenance"]
    assert document["version"] == climrisk.__version__
    assert said["command"] == RUNS[command][0]
    assert said["arguments"]
    profiles = [p for p in said["profiles"] if p["name"] == "Masdevallia"]
    if "Masdevallia" in RUNS[command]:
        known = find("Masdevallia").source_keys
        assert {s["key"] for s in profiles[0]["sources"]} == known
    for one in said["weather"]:
        assert one["credit"] or one["source"] == "log.csv"
        assert 0 < one["coverage_frac"] <= 1
        assert one["hours_known"] <= one["hours_expected"]
    if "source" in document.get("weather", ()):
        assert document["weather"]["source"] in [w["source"] for w in said["weather"]]
    assert all(p["basis"] and p["sources"] for p in said["priors"])
    spot = document.get("spot")
    if isinstance(spot, dict):
        assert spot["kind"] in [p["spot"] for p in said["priors"]]


def test_a_repeated_answer_says_what_has_changed(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    log = Path(made_log())
    words = ("exposure", "--file", "log.csv", *RUNS["logger"][2:], "--below", "5")
    Path("log.csv").write_bytes(log.read_bytes())
    text = run(capsys, *words, "--json")
    document = json.loads(text)
    (file,) = document["provenance"]["files"]
    assert file["sha256"] == hashlib.sha256(log.read_bytes()).hexdigest()
    lines = log.read_text("utf-8").splitlines(keepends=True)
    Path("log.csv").write_text("".join(lines[:-24]), "utf-8")
    document["version"] = "0.0.1"
    Path("said.json").write_text(json.dumps(document), "utf-8")
    assert main(["--repeat", "said.json"]) == 0
    notes = capsys.readouterr().err
    assert "made by climrisk 0.0.1" in notes
    assert "log.csv has changed since" in notes
    assert "differs from that of the document in weather.last" in notes


def test_repeating_changes_no_file_of_the_user(capsys, tmp_path, monkeypatch):
    """Removing, replacing, saving and pictures are not asked for again."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    words = ("winter", "--demo", "--years", "2", "--members", "1", "--csv", "a.csv")
    Path("said.json").write_text(run(capsys, *words, "--json"), "utf-8")
    document = json.loads(Path("said.json").read_text("utf-8"))
    assert "csv" not in document["provenance"]["arguments"]
    one = StationYear("A", 2021, {"temp": np.zeros(8760)}, ("x",), {}, "made")
    Archive().write(one)
    text = run(capsys, "stations", "--remove", "A", "--archive", "--json")
    Path("said.json").write_text(text, "utf-8")
    document = json.loads(Path("said.json").read_text("utf-8"))
    assert set(document["provenance"]["arguments"]) == {"archive", "as-of"}
    Archive().write(one)
    assert main(["--repeat", "said.json"]) == 0
    assert Archive().read("A", 2021) is not None


def test_a_change_of_the_home_file_is_not_repeated(capsys, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("home.toml").write_text(demo_home_text(), "utf-8")
    text = run(capsys, "carried", "in", "--all", "--to", "back room", "--json")
    before = Path("home.toml").read_bytes()
    document = json.loads(text)
    assert document["provenance"]["arguments"]["way"] == "in"
    Path("said.json").write_text(text, "utf-8")
    assert main(["--repeat", "said.json"]) == 2
    assert "is not repeated" in capsys.readouterr().err
    assert Path("home.toml").read_bytes() == before


@pytest.mark.parametrize(
    "text", ["", "[]", "{}", '{"provenance": null}', "[" * 5000, '{"a": 1e999}']
)
def test_what_is_no_document_cannot_be_repeated(capsys, tmp_path, text):
    path = tmp_path / "said.json"
    path.write_text(text, "utf-8")
    assert main(["--repeat", str(path)]) == 2
    assert "no document that says what was asked" in capsys.readouterr().err
    assert main(["--repeat", str(path), "exposure"]) == 2
    assert main(["--repeat", str(tmp_path / "none.json")]) == 2


def test_a_schema_refuses_what_is_not_in_it(capsys):
    published = json.loads(run(capsys, "schema"))["exposure"]
    document = json.loads(run(capsys, *RUNS["exposure"], "--json"))
    check = jsonschema.Draft202012Validator(published)
    assert check.is_valid(document)
    for key in ("below", "weather", "schema"):
        assert not check.is_valid({k: v for k, v in document.items() if k != key})
    assert not check.is_valid({**document, "colour": "blue"})


def test_a_limit_that_no_source_gives_is_an_estimate_or_null_with_a_reason(capsys):
    run_words = ("assess", "Adenium", *RUNS["assess"][2:], "--json")
    document = json.loads(run(capsys, *run_words))
    limits = document["plant"]["limits"]
    assert limits["tolerated"]["basis"] == "estimate"
    assert limits["tolerated"]["value"] == limits["preferred"]["value"] - 3
    assert any(row["what"] == "estimated limit" for row in document["weak"])
    assert limits["warm_night"] is None
    assert document["heat"]["warm_nights"] is None
    assert document["heat"]["unknown_because"]["warm_nights"]


def test_numbers_of_a_text_and_of_its_json_agree(capsys):
    run_words = RUNS["exposure"]
    document = json.loads(run(capsys, *run_words, "--json"))
    text = run(capsys, *run_words)
    assert f"{document['below'][0]['hours']:,}" in text
    assert f"{document['lowest_c']:.1f}" in text


def test_demo_names_files_that_are_there(made):
    document = json.loads(made("demo"))
    assert Path(document["report"]).read_text("utf-8").startswith("<!doctype html>")
    assert all(Path(f).stat().st_size > 0 for f in document["files"])
    assert len(document["sentences"]) == 5
