"""Own profiles, media and homes in any state: an input error at most."""

from __future__ import annotations

import contextlib
import re
from datetime import date
from pathlib import Path

import pytest

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.core.toml_text import parse_toml
from climrisk.home.read import parse_home
from climrisk.plants.registry import find, profile_folder
from climrisk.pot.media import medium

HOME = Path(__file__).parents[2] / "examples" / "home.toml"
DIGITS, BRACKETS = "9" * 5000, "[" * 3000


@pytest.fixture
def data(tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    for name in ("plants", "media"):
        (tmp_path / name).mkdir()
    return tmp_path


def folder(path):
    path.mkdir()


def dangling(path):
    path.symlink_to("nowhere")


def loop(path):
    path.symlink_to(path.name)


def brackets(path):
    path.write_text(f"name = {BRACKETS}")


def digits(path):
    path.write_text(f"name = {DIGITS}")


def other_text(path):
    path.write_bytes(b"\xff\xfe\x00")


def empty(path):
    path.write_bytes(b"")


ENTRIES = [folder, dangling, loop, brackets, digits, other_text, empty]


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_unreadable_profile_stops_only_its_own_plant(data, capsys, entry):
    entry(data / "plants" / "my-orchid.toml")
    assert main(["plants", "Masdevallia"]) == 0
    out, err = capsys.readouterr()
    assert "Masdevallia" in out
    assert err.startswith("note: a profile of yours is not used: ")
    assert "my-orchid.toml" in err
    assert err.count("\n") == 1
    assert main(["plants"]) == 0
    capsys.readouterr()
    # It may be the plant that no other profile knows.
    for name in ("my orchid", "zzyzx"):
        assert main(["plants", name]) == 2
        assert "my-orchid.toml" in capsys.readouterr().err


def test_a_profile_that_may_not_be_read(data, capsys, monkeypatch):
    own = data / "plants" / "mine.toml"
    own.write_text((profile_folder() / "masdevallia.toml").read_text("utf-8"), "utf-8")
    assert find("Masdevallia").own
    read = Path.read_text

    def refuse(self, *given):
        if self == own:
            raise PermissionError(13, "Permission denied")
        return read(self, *given)

    monkeypatch.setattr(Path, "read_text", refuse)
    own.touch()
    assert not find("Masdevallia").own
    assert main(["plants", "Phalaenopsis hybrids"]) == 0
    assert "Permission denied" in capsys.readouterr().err
    monkeypatch.undo()
    monkeypatch.setenv("CLIMRISK_DATA", str(data))
    own.touch()
    assert find("Masdevallia").own


@pytest.mark.parametrize("entry", ENTRIES)
def test_an_unreadable_medium_stops_only_itself(data, entry):
    entry(data / "media" / "my-mix.toml")
    assert medium("akadama").name == "akadama"
    assert medium("50 akadama + 50 grit").name
    for name in ("my-mix", "no such medium"):
        with pytest.raises(InputError, match=r"my-mix\.toml"):
            medium(name)


@pytest.mark.parametrize(
    "text", [DIGITS, "-" + DIGITS, BRACKETS, "{a=" * 3000, "'" * 9]
)
def test_a_home_with_such_a_value(tmp_path, capsys, text):
    home = tmp_path / "h.toml"
    for where in (f"risk = {text}\n", f"[weather]\ndemo = {text}\n", text):
        home.write_text(where)
        assert main(["calendar", "--home", str(home)]) == 2
        out, err = capsys.readouterr()
        assert out == ""
        assert err.count("\n") == 1


def test_every_value_of_a_home_may_be_too_large():
    text = HOME.read_text("utf-8")
    values = list(re.finditer(r"(?<== )(\"[^\"\n]*\"|[-\d.]+|true|false)", text))
    assert len(values) > 30
    # Python reads numbers of up to 4,300 digits.
    large = ("9" * 4200, "-1e308", "[" * 200 + "]" * 200, f'"{"x" * 9000}"')
    for value in values:
        for put in large:
            changed = text[: value.start()] + put + text[value.end() :]
            with contextlib.suppress(InputError):
                parse_home(changed, where="h.toml")


def test_what_toml_is_stays_toml():
    assert parse_toml("a = [[1], [2.5]]\nb = 1979-05-27") == {
        "a": [[1], [2.5]],
        "b": date(1979, 5, 27),
    }
