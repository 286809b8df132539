"""Values at the edges: one line and status 2 instead of a fault."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.cli.main import main
from climrisk.core.errors import InputError, one_line
from climrisk.home import parse_home
from climrisk.spot.site import parse_site, site_of
from climrisk.weather.selection import WeatherChoice
from tests.unit.test_home import EXAMPLE

SPOT = """[[spot]]
name = "balcony"
kind = "roofed-balcony"
"""
HUGE = "9" * 5000


@pytest.fixture(autouse=True)
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))


def refused(capsys, *arguments):
    """Return the error line of a command that must be refused."""
    status = main(list(arguments))
    out, err = capsys.readouterr()
    assert (status, out) == (2, ""), err
    assert err.startswith("error: ")
    assert err.count("\n") == 1
    assert len(err) <= len("error: ") + 501
    return err


INIT = ("init", "h.toml", "--demo")
EVENT = ("event", "Masdevallia", "--demo", "--at-spot", "open-rail", "--members", "1")
TONIGHT = ("tonight", "Masdevallia", "--words", "4, clear")


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        ((*INIT, "--years", "0"), "1 to 200"),
        ((*INIT, "--years", "201"), "1 to 200"),
        ((*INIT, "--years", "-1"), "1 to 200"),
        ((*INIT, "--years", "9" * 400), "1 to 200"),
        ((*INIT, "--years", HUGE), "--years"),
        (("init", "h.toml", "--at", "45,14", "--combine", "0"), "1 to 8"),
        (("init", "h.toml", "--at", "45,14", "--combine", "9"), "1 to 8"),
        ((*INIT, "--zone", "Mars/Base"), "IANA"),
        ((*INIT, "--zone", ""), "IANA"),
        ((*INIT, "--zone", "../../etc/passwd"), "IANA"),
        ((*INIT, "--zone", "Europe"), "IANA"),
        ((*TONIGHT, "--zone", "Mars/Base"), "IANA"),
        (("tonight", "--demo", "--zone", "Mars/Base"), "IANA"),
        (("assess", "Masdevallia", "--demo", "--members", "9" * 400), "1 to 100"),
        (("assess", "Masdevallia", "--demo", "--members", HUGE), "--members"),
        (("assess", "Masdevallia", "--demo", "--risk", HUGE), "0.01 to 0.9"),
        (("exposure", "--demo", "--below", "9" * 400), "-60 to 60"),
        (("exposure", "--at", f"{HUGE},3", "--below", "5"), "-90 to 90"),
        (("exposure", "--demo", "--below", "1", "--from", "0001-01-01"), "1800-01-01"),
        ((*EVENT, "--from", "0001-01-01", "--to", "0001-01-01"), "1800-01-01"),
        ((*EVENT, "--from", "9999-12-31", "--to", "9999-12-31"), "2200-12-31"),
        ((*TONIGHT, "--as-of", "0001-01-01"), "1800-01-01"),
        ((*TONIGHT, "--as-of", "9999-12-31"), "2200-12-31"),
        (("calendar", "Masdevallia", "--demo", "--as-of", "9999-12-31"), "2200-12-31"),
        (("arrive", "Masdevallia", "--demo", "--as-of", "9999-01-01"), "2200-12-31"),
        (("demo", "--as-of", "9999-12-31"), "2200-12-31"),
    ],
    ids=lambda v: str(v)[:60],
)
def test_a_value_at_the_edge_is_refused_in_one_line(capsys, arguments, word):
    assert word in refused(capsys, *arguments)
    assert not Path("h.toml").exists()


@pytest.mark.parametrize(
    "day", ["1800-01-01", "1900-02-28", "2100-03-01", "2200-12-31"]
)
@pytest.mark.parametrize(
    "arguments",
    [
        TONIGHT,
        ("calendar", "Masdevallia", "--demo", "--years", "2", "--members", "1"),
        ("arrive", "Masdevallia", "--demo", "--years", "2", "--members", "1"),
    ],
    ids=lambda v: v[0],
)
def test_the_first_and_the_last_day_are_answered(capsys, arguments, day):
    assert main([*arguments, "--as-of", day]) == 0, capsys.readouterr().err


@pytest.mark.parametrize(
    ("text", "line", "word"),
    [
        ('[weather]\ndemo = true\nzone = "Mars/Base"\n' + SPOT, "line 3", "IANA"),
        ("risk = " + "[" * 3000, "", "nested"),
        ("risk = " + "[" * 3000 + "]" * 3000, "", "nested"),
        ("a = " + "{a=" * 3000 + "1" + "}" * 3000, "", "nested"),
        (f"risk = {HUGE}\n[weather]\ndemo = true\n", "", "too many digits"),
        (f"risk = {'9' * 4000}\n[weather]\ndemo = true\n", "line 1", "a valid number"),
        (f"[weather]\ndemo = true\nyears = {'9' * 4000}\n", "line 3", "200"),
        ("[" + ".".join("a" * 3000) + "]", "", "weather: is missing"),
    ],
    ids=lambda v: str(v)[:30],
)
def test_a_home_file_at_the_edge_is_refused_in_one_line(capsys, text, line, word):
    Path("h.toml").write_text(text, "utf-8")
    for command in ("calendar", "tonight"):
        said = refused(capsys, command, "--home", "h.toml")
        assert line in said
        assert word in said


def test_a_zone_that_is_known_is_kept_in_a_home(capsys):
    assert main([*INIT, "--zone", "Asia/Kathmandu"]) == 0
    home = parse_home(Path("h.toml").read_text("utf-8"), where="h.toml")
    assert home.weather.zone == "Asia/Kathmandu"


@given(st.text(max_size=3000), st.text(max_size=3000), st.text(max_size=9000))
def test_any_error_is_one_short_line_without_control_characters(what, value, allowed):
    for error in (
        InputError(what, where=value, value=value, allowed=allowed, next_step="go on"),
        InputError("wrong", where="--risk", value=what, allowed=allowed),
    ):
        line = error.line()
        assert len(line) <= 500
        assert line.isprintable()
    assert "Go on" in InputError("no", allowed=allowed, next_step="go on").line()


def test_control_characters_are_shown_and_not_obeyed(capsys):
    line = InputError("no", value="a\x1b[31mb\x07\u202ec\r\nd").line()
    assert line == r"no: a\x1b[31mb\x07\u202ec d"
    assert one_line("x" * 600) == "x" * 499 + "…"
    said = refused(capsys, "plants", "\x1b[2J" + "x" * 4000)
    assert "\x1b" not in said
    assert "\x1b" not in refused(capsys, "exposure", "--\x1b[2Jx" + "y" * 4000)


def test_a_particular_of_a_spot_with_stray_dashes_is_read_or_refused_twice():
    assert parse_site(["_facing=SE"]) == parse_site(["-facing-=SE"])
    assert parse_site(["_facing=SE"]) == parse_site(["facing=SE"])
    assert site_of({"_facing": "SE"}, where="site") == parse_site(["facing=SE"])
    with pytest.raises(InputError, match="twice"):
        parse_site(["facing=SE", "_facing=N"])


def test_python_is_refused_the_same_way():
    for given_ in ({"zone": "x"}, {"years": 0}, {"combine": 9}):
        with pytest.raises(InputError):
            WeatherChoice(demo=True, **given_)
    assert EXAMPLE.is_file()
