"""A new home file: commented, valid as written, never over another."""

from __future__ import annotations

import json
import re
import tomllib

import pytest

from climrisk.cli.main import main
from climrisk.commands.init.command import InitInput
from climrisk.commands.init.compute import init
from climrisk.home import parse_home, read_home
from climrisk.home.template import NewHome, home_text
from climrisk.home.weather import HomeWeather
from climrisk.weather.selection import WeatherChoice
from tests.made_files import logger_csv, truth


def run_json(capsys, *words):
    status = main(["init", *words, "--json"])
    out, err = capsys.readouterr()
    assert status == 0, err
    return json.loads(out)


def test_every_flag_is_in_the_file_that_is_read_back(capsys, tmp_path):
    path = tmp_path / "home.toml"
    log = logger_csv(tmp_path / "log.csv", truth("2021-01-01", 48), clock="utc")
    document = run_json(
        capsys,
        *(str(path), "--name", 'The "old" house', "--risk", "0.2"),
        *("--file", str(log), "--at", "45.2,14.6,18", "--elevation", "30"),
        *("--clock", "utc", "--years", "9", "--zone", "Europe/Zagreb"),
        *("--spot", "rail=open-rail", "--spot", "wall-shelf"),
        *("--room", "study=heated-room", "--plant", "masdevallia@Rail"),
        *("--plant", "moth orchid@study", "--plant", "Cymbidium, standard hybrids"),
    )
    home = read_home(path)
    assert home.name == 'The "old" house'
    assert home.risk == 0.2
    assert home.place == (45.2, 14.6, 30.0)
    assert (home.weather.file, home.weather.years) == ("log.csv", 9)
    assert (home.weather.clock, home.weather.zone) == ("utc", "Europe/Zagreb")
    assert [(s.name, s.kind) for s in home.spot] == [
        ("rail", "open-rail"),
        ("wall-shelf", "wall-shelf"),
    ]
    assert [(p.name, p.spot) for p in home.plant] == [
        ("Masdevallia", "rail"),
        ("Phalaenopsis hybrids", "study"),
        ("Cymbidium, standard hybrids", "rail"),
    ]
    assert [p["name"] for p in document["plants"]] == [p.name for p in home.plant]
    assert document["assumed"] == []
    assert document["undo"] is None
    run = ["exposure", "--home", str(path), "--below", "9", "--json"]
    assert main([*run, "--from", "2021-01-01"]) == 2  # --years 9 of two days
    assert "growing year" in capsys.readouterr().err


def test_every_comment_that_shows_a_key_is_valid_when_it_counts(tmp_path):
    # Each commented line by itself, with its example, must be accepted.
    text = home_text(
        NewHome(
            HomeWeather(station="1"),
            spots=[("balcony", "roofed-balcony")],
            rooms=[("study", "heated-room")],
            plants=[{"name": "Masdevallia", "spot": "balcony"}],
        )
    )
    plain = parse_home(text, where="made")
    lines = text.split("\n")
    shown = [i for i, line in enumerate(lines) if re.match(r"# \w+ = ", line)]
    assert len(shown) >= 12
    for i in shown:
        changed = [*lines[:i], lines[i][2:], *lines[i + 1 :]]
        if lines[i].startswith("# file"):
            changed = [x for x in changed if not x.startswith("station")]
        assert parse_home("\n".join(changed), where="made") != plain or any(
            word in lines[i]
            for word in ("risk = 0.1", "pot", "medium", "state", "count")
        )


def test_it_never_writes_over_a_file_without_force(capsys, tmp_path):
    path = tmp_path / "home.toml"
    path.write_text("# mine\n", "utf-8")
    assert main(["init", str(path), "--demo"]) == 2
    assert "--force" in capsys.readouterr().err
    assert path.read_text("utf-8") == "# mine\n"
    document = run_json(capsys, str(path), "--demo", "--force")
    assert tomllib.loads(path.read_text("utf-8"))["weather"] == {"demo": True}
    assert (tmp_path / "home.toml.undo").read_text("utf-8") == "# mine\n"
    assert document["undo"] == str(tmp_path / "home.toml.undo")
    assert len(document["assumed"]) == 1


WRONG = [
    ((), "--town"),
    (("--demo", "--spot", "attic=roof"), "NAME=KIND"),
    (("--demo", "--room", "den=glasshouse"), "unheated-room"),
    (("--demo", "--plant", "Masdevallia@cellar"), "PLANT@SPOT"),
    (("--demo", "--plant", "blu vanda"), "Did you mean blue vanda"),
    (("--demo", "--risk", "7"), "0.01"),
    (("--demo", "--elevation", "99999"), "8850"),
    (("--demo", "--town", "X"), "--demo and --town"),
    (("--demo", "--as-of", "2026-01-01"), "no dates"),
    (("--file", "nowhere.csv"), "no such file"),
    (("--demo", "--spot", "a=open-rail", "--spot", "A=wall-shelf"), "twice"),
]


@pytest.mark.parametrize(("words", "word"), WRONG, ids=lambda v: str(v)[-30:])
def test_wrong_words_write_nothing(capsys, tmp_path, words, word):
    path = tmp_path / "home.toml"
    assert main(["init", str(path), *words]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    assert word in err
    assert not path.exists()
    assert main(["init", str(tmp_path / "no" / "home.toml"), "--demo"]) == 2


def test_a_terminal_is_asked_and_nothing_else_is(capsys, tmp_path, monkeypatch):
    answers = iter(
        [
            *("45.2,14.6,18", "1", "rail", "", "window-sill", "sill", ""),
            *("Masdevallia", "rail", "2", ""),
        ]
    )
    prompts = []

    def prompt(question, **_):
        prompts.append(question)
        return next(answers)

    monkeypatch.setattr("typer.prompt", prompt)
    monkeypatch.setattr("typer.confirm", lambda *_, **__: True)
    path = tmp_path / "home.toml"
    run_json(capsys, str(tmp_path / "other.toml"), "--demo")
    assert prompts == []
    monkeypatch.setattr("sys.stdin.isatty", lambda: True, raising=False)
    assert main(["init", str(path)]) == 0
    home = read_home(path)
    assert home.weather.at == "45.2,14.6,18"
    assert [p.name for p in home.places] == ["rail", "sill"]
    assert [r.kind for r in home.room] == ["window-sill"]
    assert (home.plant[0].spot, home.plant[0].count) == ("rail", 2)
    assert len(prompts) == 11


def test_from_python(tmp_path):
    result = init(InitInput(path=tmp_path / "h.toml"), WeatherChoice(town="Zadar,HR"))
    assert result.weather == {"town": "Zadar,HR"}
    assert read_home(tmp_path / "h.toml").weather.town == "Zadar,HR"
