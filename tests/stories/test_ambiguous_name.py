""" "Can my dendrobium stay out in winter?": one question, all answers side by side."""

from __future__ import annotations

import io
import json
from contextlib import redirect_stdout

import pytest

from climrisk.cli.main import main
from climrisk.home import read_home
from tests.quick import but_quick
from tests.stories.nightly import ask

FEW = ("--demo", "--years", "6", "--members", "2")


@pytest.fixture(scope="module")
def several():
    """Return the document of the one question."""
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(["assess", "dendrobium", *FEW, "--json"]) == 0
    return json.loads(out.getvalue())


def test_one_question_and_all_answers_side_by_side(several):
    result = several
    assert result["command"] == "assess-several"
    assert result["why"] == "covers several plants"
    assert result["question"].count("?") == 1
    kinds = {c["kind"] for c in result["choices"]}
    assert {"evergreen", "deciduous", "rock type"} <= kinds
    assert all(c["line"] for c in result["choices"])
    names = {c["name"] for c in result["choices"]}
    assert "Dendrobium nobile type" in names
    words = {c["result"]["verdict"]["word"] for c in result["choices"]}
    assert len(words) > 1
    # No single number stands for all of them.
    assert not any(c.isdigit() for c in result["sentence"].replace(str(len(names)), ""))
    assert not {"months", "move_in", "air", "winters"} & set(result)


def test_each_answer_is_that_of_the_plant_by_name(capsys, several):
    for choice in several["choices"][2:4]:
        alone = ask(capsys, main, "assess", choice["name"], *FEW)
        # Each document says what it was asked itself.
        own = {k: alone[k] for k in ("plant", "provenance")}
        assert alone == {**choice["result"], **own}


def test_the_reply_is_remembered(capsys, tmp_path):
    home = tmp_path / "home.toml"
    home.write_text("# mine\n[weather]\ndemo = true\n", "utf-8")
    command = ("assess", "dendrobium", "--home", str(home), *FEW[1:])
    result = ask(capsys, main, *command, "--means", "Dendrobium nobile type")
    assert result["plant"]["name"] == "Dendrobium nobile type"
    assert read_home(home).answers == {"dendrobium": "Dendrobium nobile type"}
    assert "\n# mine\n[weather]\ndemo = true\n" in home.read_text("utf-8")
    again = ask(capsys, main, *command)
    assert again["command"] == "assess"
    assert again["plant"]["name"] == "Dendrobium nobile type"


def test_a_reply_needs_a_place_and_a_plant(capsys, tmp_path):
    assert main(["assess", "dendrobium", "--demo", "--means", "Masdevallia"]) == 2
    assert "--home" in capsys.readouterr().err
    home = tmp_path / "home.toml"
    home.write_text("[weather]\ndemo = true\n", "utf-8")
    before = home.read_text("utf-8")
    bad = ["assess", "dendrobium", "--home", str(home), "--means", "dendrobium"]
    assert main(bad) == 2
    assert home.read_text("utf-8") == before


def test_a_misspelt_genus_is_said_and_asked_about(capsys):
    result = ask(capsys, main, "assess", "Cymbidum", *FEW)
    assert (result["asked"], result["read_as"]) == ("Cymbidum", "Cymbidium")
    assert result["sentence"].startswith('"Cymbidum" read as Cymbidium.')
    assert [c["kind"] for c in result["choices"]] == [
        *("standard", "miniature", "Asian terrestrial")
    ]


@pytest.mark.parametrize("name", but_quick(["dendrobium", "tomato"], "tomato"))
def test_the_page_shows_no_command(capsys, tmp_path, name):
    page = tmp_path / f"{name}.html"
    assert main(["assess", name, *FEW, "--html", str(page)]) == 0
    said = capsys.readouterr().out
    assert "climrisk assess" in said
    text = page.read_text("utf-8")
    assert "climrisk assess" not in text
    assert "--means" not in text


def test_terminal_and_page_show_the_table(capsys, tmp_path):
    page = tmp_path / "page.html"
    assert main(["assess", "dendrobium", *FEW, "--html", str(page)]) == 0
    text = capsys.readouterr().out
    for word in ("evergreen", "deciduous", "rock type"):
        assert word in text
        assert word in page.read_text("utf-8")
