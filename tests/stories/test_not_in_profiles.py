"""A plant without a profile: the nearest names, three scenarios and a form."""

from __future__ import annotations

import tomllib

from climrisk.cli.main import main
from climrisk.plants.registry import find, load_profile
from tests.stories.nightly import ask

FEW = ("--demo", "--years", "12", "--members", "3")


def test_a_misspelt_name_is_read_as_the_plant_and_said_so(capsys):
    told = ask(capsys, main, "assess", "Masdevalia", *FEW)
    assert told["plant"]["name"] == told["plant"]["read_as"] == "Masdevallia"
    assert told["plant"]["asked"] == "Masdevalia"
    assert main(["assess", "Masdevalia", *FEW]) == 0
    assert '"Masdevalia" read as Masdevallia.' in capsys.readouterr().out
    assert main(["assess", "Masdevallia", *FEW]) == 0
    assert "read as" not in capsys.readouterr().out


def test_a_name_too_far_off_is_offered_the_nearest(capsys):
    told = ask(capsys, main, "assess", "blu vanda", *FEW)
    assert told["nearest"][0] == "blue vanda"
    assert told["sentence"].startswith('No plant called "blu vanda". Did you mean blue')
    assert main(["calendar", "blu vanda", "--demo"]) == 2
    said = capsys.readouterr().err
    assert "Did you mean blue vanda" in said
    assert "--" not in said
    assert said.count("\n") == 1


def test_an_unknown_plant_gets_three_scenarios_by_a_named_society(capsys):
    told = ask(capsys, main, "assess", "Rosa chinensis", *FEW)
    assert told["why"] == "no profile"
    assert told["scenarios"] is True
    assert [c["kind"] for c in told["choices"]] == ["warm", "intermediate", "cool"]
    for choice in told["choices"]:
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
        c["result"]["plant"]["limits"]["preferred"]["value"] for c in told["choices"]
    ]
    assert values == [18.5, 13, 10]
    assert told["nearest"] == []
    assert "differ by 3 to 5 °C" in told["choices"][0]["line"]


def test_how_it_is_sold_can_be_remembered(capsys, tmp_path):
    home = tmp_path / "home.toml"
    home.write_text("[weather]\ndemo = true\n", "utf-8")
    asked = ("assess", "Rosa chinensis", "--home", str(home), *FEW[1:])
    told = ask(capsys, main, *asked, "--means", "a cool grower")
    assert told["plant"]["limits"]["preferred"]["value"] == 10
    assert told["plant"]["read_as"] == "a cool grower"
    assert ask(capsys, main, *asked)["plant"] == told["plant"]


def test_the_form_is_a_profile_once_filled_in(capsys, tmp_path):
    told = ask(capsys, main, "assess", "Rosa chinensis", *FEW)
    filled = told["form"].replace("value = ,", "value = 2,", 1)
    assert tomllib.loads(filled)["name"] == "Rosa chinensis"
    path = tmp_path / "rose.toml"
    path.write_text(filled, "utf-8")
    assert load_profile(path).limits.preferred[0].value == 2


def test_own_limits_need_a_source_and_are_marked_yours(capsys):
    asked = ("assess", "Rosa chinensis", *FEW, "--preferred", "2")
    assert main(list(asked)) == 2
    assert "--limit-source" in capsys.readouterr().err
    told = ask(capsys, main, *asked, "--limit-source", "a rose grower")
    assert told["command"] == "assess"
    assert told["plant"]["own"] is True
    limit = told["plant"]["limits"]["preferred"]
    assert (limit["basis"], limit["sources"]) == ("yours", ["a rose grower"])
    tolerated = told["plant"]["limits"]["tolerated"]
    assert (tolerated["value"], tolerated["basis"]) == (2 - 3, "estimate")


def test_own_limits_that_contradict_are_refused(capsys):
    bad = ("--preferred", "2", "--tolerated", "5", "--limit-source", "memory")
    assert main(["assess", "Rosa chinensis", *FEW, *bad]) == 2
    assert "--tolerated" in capsys.readouterr().err


def test_a_trade_name_leads_to_the_accepted_one(capsys):
    told = ask(capsys, main, "assess", "moth orchid", *FEW)
    assert told["plant"]["name"] == "Phalaenopsis hybrids"
    assert told["plant"]["asked"] == "moth orchid"
    assert find("Doritaenopsis").name == "Phalaenopsis hybrids"
