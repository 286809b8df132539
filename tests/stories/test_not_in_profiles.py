"""A plant without a profile: the nearest names, three scenarios and a form."""

from __future__ import annotations

import tomllib

from climrisk.cli.main import main
from climrisk.plants.registry import find, load_profile
from tests.stories.nightly import ask

FEW = ("--demo", "--years", "12", "--members", "3")


def test_a_misspelt_name_is_read_as_the_plant_and_said_so(capsys):
    result = ask(capsys, main, "assess", "Masdevalia", *FEW)
    assert result["plant"]["name"] == result["plant"]["read_as"] == "Masdevallia"
    assert result["plant"]["asked"] == "Masdevalia"
    assert main(["assess", "Masdevalia", *FEW]) == 0
    assert '"Masdevalia" read as Masdevallia.' in capsys.readouterr().out
    assert main(["assess", "Masdevallia", *FEW]) == 0
    assert "read as" not in capsys.readouterr().out


def test_a_name_too_far_off_is_offered_the_nearest(capsys):
    result = ask(capsys, main, "assess", "blu vanda", *FEW)
    assert result["nearest"][0] == "blue vanda"
    assert result["sentence"].startswith(
        'No plant called "blu vanda". Did you mean blue'
    )
    assert main(["calendar", "blu vanda", "--demo"]) == 2
    said = capsys.readouterr().err
    assert "Did you mean blue vanda" in said
    assert "--" not in said
    assert said.count("\n") == 1


def test_an_unknown_plant_gets_three_scenarios_by_a_named_society(capsys):
    result = ask(capsys, main, "assess", "Rosa chinensis", *FEW)
    assert result["why"] == "no profile"
    assert result["scenarios"] is True
    assert [c["kind"] for c in result["choices"]] == ["warm", "intermediate", "cool"]
    for choice in result["choices"]:
        limits = choice["result"]["plant"]["limits"]
        # No invented limits: the lower bounds of one society's classes, and the
        # estimate of what such a grower tolerates, marked as such.
        assert limits["preferred"]["meaning"] == "class_lower_bound"
        assert limits["preferred"]["sources"] == ["SFVOS"]
        known = [k for k, row in limits.items() if row is not None]
        assert known == ["preferred", "tolerated"]
        assert limits["tolerated"]["basis"] == "estimate"
        assert any(w["what"] == "limit of its class" for w in choice["result"]["weak"])
    values = [
        c["result"]["plant"]["limits"]["preferred"]["value"] for c in result["choices"]
    ]
    assert values == [18.5, 13, 10]
    assert result["nearest"] == []
    assert "differ by 3 to 5 °C" in result["choices"][0]["line"]


def test_how_it_is_sold_can_be_remembered(capsys, tmp_path):
    home = tmp_path / "home.toml"
    home.write_text("[weather]\ndemo = true\n", "utf-8")
    command = ("assess", "Rosa chinensis", "--home", str(home), *FEW[1:])
    result = ask(capsys, main, *command, "--means", "a cool grower")
    assert result["plant"]["limits"]["preferred"]["value"] == 10
    assert result["plant"]["read_as"] == "a cool grower"
    assert ask(capsys, main, *command)["plant"] == result["plant"]


def test_the_form_is_a_profile_once_filled_in(capsys, tmp_path):
    result = ask(capsys, main, "assess", "Rosa chinensis", *FEW)
    filled = result["form"].replace("value = ,", "value = 2,", 1)
    assert tomllib.loads(filled)["name"] == "Rosa chinensis"
    path = tmp_path / "rose.toml"
    path.write_text(filled, "utf-8")
    assert load_profile(path).limits.preferred[0].value == 2


def test_own_limits_need_a_source_and_are_marked_yours(capsys):
    command = ("assess", "Rosa chinensis", *FEW, "--preferred", "2")
    assert main(list(command)) == 2
    assert "--limit-source" in capsys.readouterr().err
    result = ask(capsys, main, *command, "--limit-source", "a rose grower")
    assert result["command"] == "assess"
    assert result["plant"]["own"] is True
    limit = result["plant"]["limits"]["preferred"]
    assert (limit["basis"], limit["sources"]) == ("yours", ["a rose grower"])
    tolerated = result["plant"]["limits"]["tolerated"]
    assert (tolerated["value"], tolerated["basis"]) == (2 - 3, "estimate")


def test_own_limits_that_contradict_are_refused(capsys):
    bad = ("--preferred", "2", "--tolerated", "5", "--limit-source", "memory")
    assert main(["assess", "Rosa chinensis", *FEW, *bad]) == 2
    assert "--tolerated" in capsys.readouterr().err


def test_a_trade_name_leads_to_the_accepted_one(capsys):
    result = ask(capsys, main, "assess", "moth orchid", *FEW)
    assert result["plant"]["name"] == "Phalaenopsis hybrids"
    assert result["plant"]["asked"] == "moth orchid"
    assert find("Doritaenopsis").name == "Phalaenopsis hybrids"
