"""JSON documents: each by its published schema, no NaN, low <= mid <= high."""

from __future__ import annotations

import json
import math
from pathlib import Path

import jsonschema
import pytest

from climrisk.cli.main import main
from climrisk.result.schema import DOCUMENTS
from tests.unit.test_options import made_grid

RUNS = {
    "exposure": ("exposure", "--demo", "--years", "5", "--below", "5", "--above", "30"),
    "assess": ("assess", "Masdevallia", "--demo", "--years", "5", "--members", "4"),
    "assess-several": (
        "assess",
        "Dendrobium",
        "--demo",
        "--years",
        "5",
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
    "demo": ("demo",),
}


def run(capsys, *arguments):
    words = [made_grid() if a == "GRID" else a for a in arguments]
    assert main(words) == 0
    return capsys.readouterr().out


def walk(value, path=""):
    yield path, value
    if isinstance(value, dict):
        for key, part in value.items():
            yield from walk(part, f"{path}/{key}")
    elif isinstance(value, list):
        for i, part in enumerate(value):
            yield from walk(part, f"{path}/{i}")


@pytest.mark.parametrize("command", sorted(RUNS))
def test_document_keeps_its_schema(capsys, tmp_path, monkeypatch, command):
    monkeypatch.chdir(tmp_path)
    published = json.loads(run(capsys, "schema"))
    assert set(published) == set(DOCUMENTS)
    text = run(capsys, *RUNS[command], "--json")
    document = json.loads(text, parse_constant=pytest.fail)  # NaN, Infinity
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


def test_demo_names_files_that_are_there(capsys, tmp_path):
    document = json.loads(
        run(capsys, "demo", "--out", str(tmp_path / "deep" / "er"), "--json")
    )

    assert Path(document["report"]).read_text("utf-8").startswith("<!doctype html>")
    assert all(Path(f).stat().st_size > 0 for f in document["files"])
    assert len(document["sentences"]) == 5
