"""The program as a user meets it: output, exit status, one error line."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest
from typer.main import get_command

from climrisk.cli.main import application, main
from tests.made_files import logger_csv, truth


def call(capsys, *arguments):
    status = main(list(arguments))
    out, err = capsys.readouterr()
    return status, out, err


ASSESS = ("assess", "Phalaenopsis hybrids", "--demo", "--years", "12", "--members", "4")


def test_json_is_one_document_and_nothing_else(capsys):
    status, out, _ = call(capsys, "exposure", "--demo", "--below", "10", "--json")
    document = json.loads(out)
    assert status == 0
    assert document["schema"] == 1
    assert document["command"] == "exposure"
    assert document["below"][0]["hours"] == sum(
        document["below"][0]["by_month"].values()
    )


def test_assess_prints_a_sentence_to_act_on(capsys):
    status, out, _ = call(capsys, *ASSESS)
    assert status == 0
    assert "Bring in by" in out
    assert "Follow frost warnings" in out
    status, out, _ = call(capsys, *ASSESS, "--details")
    assert status == 0
    assert "Bring it in by" in " ".join(out.split())
    assert "Invented demo weather" in out
    assert "not a frost warning" in " ".join(out.split())


def test_a_cool_grower_is_told_of_hot_nights(capsys):
    status, out, _ = call(capsys, "assess", "Masdevallia", *ASSESS[2:])
    assert status == 0
    assert "nights above 18 °C (too warm for it)" in " ".join(out.split())


def test_text_prints_no_number_that_is_not_in_the_json(capsys):
    import re

    _, text, _ = call(capsys, *ASSESS)
    _, out, _ = call(capsys, *ASSESS, "--json")
    for number in re.findall(r"\d+\.\d+|\d{3,}", text.split("How sure")[0]):
        assert number in out


BAD = [
    (("arrive", "blu vanda", "--demo"), "Did you mean blue vanda"),
    (("calendar", "Dendrobium", "--demo"), "Say which: Dendrobium phal"),
    (("exposure", "--demo", "--below", "500"), "-60 to 60"),
    (("exposure", "--at", "95,3", "--below", "5"), "-90 to 90"),
    (("exposure", "--at", "here", "--below", "5"), "LAT,LON"),
    (("exposure", "--below", "5"), "--demo"),
    (("exposure", "--demo", "--station", "1", "--below", "5"), "more than one"),
    (("exposure", "--demo", "--below", "5", "--from", "2050-01-01"), "future"),
    (
        (
            "exposure",
            "--demo",
            "--below",
            "5",
            "--from",
            "2020-01-01",
            "--to",
            "2019-01-01",
        ),
        "after",
    ),
    (("exposure", "--demo", "--below", "warm"), "--below"),
    (("exposure", "--demo", "--zone", "Mars/Base", "--below", "5"), "IANA"),
    (("assess", "Masdevallia", "--demo", "--risk", "7"), "0.01 to 0.9"),
    (("exposure", "--file", "/nowhere.csv", "--below", "5"), "no such file"),
    (("calendar", "--demo", "--spot", "cellar"), "balcony"),
    (("calendar", "--demo", "--ics", "/nowhere/x.ics"), "--ics"),
    (("exposure", "--demo", "--belo", "5"), "--below"),
    (("assess", "Masdevallia", "--demo", "--members", "0"), "1 to 100"),
    (("winter", "--demo", "--members", "9999"), "1 to 100"),
    (("calendar", "--demo", "--members", "101"), "1 to 100"),
    (("winter", "--demo", "--winter", "last"), "1995/96 to 2024/25"),
    (("winter", "--demo", "--elevation", "99999"), "8850"),
    (("winter", "Masdevallia", "--demo", "--state", "ill"), "established"),
    (("calendar", "--demo", "--elevation", "-999"), "-430"),
    (("calendar", "--demo", "--state", "ill"), "established"),
    (("assess", "Masdevallia", "--demo", "--pot-diameter", "500"), "4 to 50"),
    (("assess", "Masdevallia", "--demo", "--pot", "bucket"), "thin-plastic"),
    (("assess", "Masdevallia", "--demo", "--medium", "marble"), "expanded-clay"),
    (("assess", "Masdevallia", "--demo", "--wetness", "soaked"), "damp"),
    (("assess", "Masdevallia", "--demo", "--state", "asleep"), "established"),
    (("assess", "Masdevallia", "--demo", "--elevation", "99999"), "8850"),
    (("exposures",), "climrisk --help"),
]


@pytest.mark.parametrize(("arguments", "word"), BAD, ids=lambda v: str(v)[:40])
def test_bad_input_is_one_line_and_status_two(capsys, arguments, word):
    status, out, err = call(capsys, *arguments)
    assert status == 2
    assert out == ""
    assert err.count("\n") == 1
    assert err.startswith("error: ")
    assert word in err


def test_a_fault_of_ours_is_status_one(capsys, monkeypatch):
    from climrisk.commands.exposure import request

    def broken(*args, **kwargs):
        raise ZeroDivisionError("made for a test")

    monkeypatch.setattr(request, "_exposure", broken)
    status, _, err = call(capsys, "exposure", "--demo", "--below", "5")
    assert status == 1
    assert "a fault of climrisk" in err


def test_options_of_the_record_change_what_they_say(capsys, tmp_path):
    base = ("exposure", "--demo", "--below", "5", "--json")

    def run_json(*more):
        return json.loads(call(capsys, *base, *more)[1])

    whole = run_json()
    assert (
        run_json("--years", "5")["weather"]["hours_expected"]
        < whole["weather"]["hours_expected"]
    )
    assert (
        run_json("--from", "2020-07-01")["below"][0]["hours"]
        < whole["below"][0]["hours"]
    )
    assert (
        run_json("--to", "2000-06-30")["below"][0]["hours"] < whole["below"][0]["hours"]
    )
    assert run_json("--inclusive")["below"][0]["hours"] > whole["below"][0]["hours"]
    moved = run_json("--zone", "Asia/Tokyo")["below"][0]
    assert moved["hours"] == whole["below"][0]["hours"]
    assert moved["by_month"] != whole["below"][0]["by_month"]
    assert run_json("--measured-at", "spot")["weather"]["measured_at"] == "spot"
    path = logger_csv(tmp_path / "a.csv", truth("2021-05-01", 24 * 60), clock="utc")
    file = (
        "exposure",
        "--file",
        str(path),
        "--at",
        "45.8,15.9",
        "--below",
        "12",
        "--json",
    )
    status, out, _ = call(capsys, *file, "--clock", "utc")
    assert status == 0
    document = json.loads(out)
    assert document["weather"]["kind"] == "logger"
    shifted = json.loads(call(capsys, *file, "--clock", "standard")[1])
    assert shifted["weather"]["first"] != document["weather"]["first"]
    warm = json.loads(
        call(capsys, *file, "--clock", "utc", "--temperature-unit", "f")[1]
    )
    assert warm["lowest_c"] < document["lowest_c"]


def test_help_loads_nothing_heavy():
    code = (
        "import sys; from climrisk.cli.main import main; main(['--help']);"
        "print([m for m in ('pandas','numpy','numba','pvlib','plotly','pydantic') "
        "if m in sys.modules])"
    )
    out = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    assert out.stdout.strip().endswith("[]")


def test_plants_lists_and_shows(capsys):
    status, out, _ = call(capsys, "plants", "--json")
    assert status == 0
    assert len(json.loads(out)["plants"]) >= 159
    _, text, _ = call(capsys, "plants", "moth orchid")
    assert "AOS_PHAL" in text
    assert "15.5 °C" in text


def test_the_help_is_the_same_whichever_command_has_its_options(capsys):
    # Only the command that was called gets its options, to save time.
    def helped(called, *words):
        get_command(application(called)).main(
            [*words, "--help"], prog_name="climrisk", standalone_mode=False
        )
        return capsys.readouterr().out

    whole = helped(None)
    assert "assess" in whole
    assert "serve" in whole
    assert helped("") == helped("assess") == whole
    for name in ("assess", "serve", "schema", "init"):
        assert helped(name, name) == helped(None, name)
    assert "--spot" in helped("assess", "assess")
    assert "--spot" not in helped("", "assess")


def test_a_command_loads_no_compiler():
    code = (
        "import sys\n"
        "from climrisk.cli.main import main\n"
        "words = ('assess', 'Phalaenopsis hybrids', '--demo', '--years', '2')\n"
        "main(words)\n"
        "heavy = ('numba', 'pandas', 'plotly', 'fastapi')\n"
        "print([m for m in heavy if m in sys.modules])"
    )
    # What the first run may compile, the second finds.
    for _ in range(2):
        done = subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True
        )
    assert done.stdout.splitlines()[-1] == "[]"
