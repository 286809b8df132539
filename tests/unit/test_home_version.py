"""Home files of older versions are read, upgraded by a change, and can be had back."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from climrisk.cli.main import main
from climrisk.core.atomic_files import replace_file
from climrisk.core.errors import InputError
from climrisk.home import demo_home_text, edit_home, parse_home, read_home, undo_change
from climrisk.home.version import VERSION, upgraded
from climrisk.home.write import undo_path
from tests.unit.test_home_file import EXAMPLE, HOME

LINE = f"version = {VERSION}\n"
BODY = """[weather]
demo = true
[[spot]]
name = "rail"
kind = "open-rail"
[[plant]]
name = "Masdevallia"
spot = "rail"
"""
#: Files from before versions were noted, by how they begin.
OLDER = {
    "remark and key": HOME.replace(LINE, ""),
    "remark apart": demo_home_text().replace(LINE, ""),
    "every key": EXAMPLE.read_text("utf-8").replace(LINE, ""),
    "a table": BODY,
    "a remark on a table": f"# weather of the town\n{BODY}",
    "empty lines": f"\n\n# mine\n\n# weather\n{BODY}",
    "two remarks": f"# mine\n\n# weather\n{BODY}# the end\n",
}


@pytest.fixture(params=OLDER)
def older(request, tmp_path):
    path = tmp_path / "home.toml"
    path.write_bytes(OLDER[request.param].encode())
    return path


def test_an_older_file_is_read_as_the_same_home(older):
    text = older.read_text("utf-8")
    now = upgraded(text)
    assert parse_home(text, where="h").version == 0
    assert parse_home(now, where="h").version == VERSION
    given = parse_home(now, where="h").model_copy(update={"version": 0})
    assert given == parse_home(text, where="h")
    # A line more, and perhaps an empty one below it: all others stay in order.
    left = now.splitlines()
    left.remove(LINE.rstrip())
    assert [x for x in left if x] == [x for x in text.splitlines() if x]
    assert upgraded(now) == now
    assert tomllib.loads(now) == {"version": VERSION, **tomllib.loads(text)}


def test_an_older_file_gives_the_same_answers(tmp_path, capsys):
    said = []
    for name, text in (("old", BODY), ("new", upgraded(BODY))):
        path = tmp_path / f"{name}.toml"
        path.write_text(text, "utf-8")
        words = ("tonight", "--home", str(path), "--words", "4, clear, calm")
        assert main([*words, "--as-of", "2024-11-27", "--details"]) == 0
        said.append(capsys.readouterr().out)
    assert said[0] == said[1]
    assert "Masdevallia" in said[0]


def test_a_change_upgrades_and_the_copy_beside_it_is_the_file_before(older):
    before = older.read_bytes()
    with edit_home(older) as edit:
        edit.change(edit.document["plant"][-1], count=3)
    assert undo_path(older).read_bytes() == before
    after = older.read_text("utf-8")
    assert after.splitlines().count(LINE.rstrip()) == 1
    assert read_home(older).plant[-1].count == 3
    remarks = [x for x in before.decode().splitlines() if x.startswith("#")]
    assert [x for x in after.splitlines() if x.startswith("#")] == remarks
    # Taken back at once, it is the file before; later changes stay.
    undo_change(older, before.decode(), after)
    assert older.read_bytes() == before


@pytest.mark.parametrize("mark", [b"\xef\xbb\xbf", b""])
@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_line_ends_stay_and_the_copy_has_every_byte(tmp_path, end, mark):
    path = tmp_path / "home.toml"
    before = mark + OLDER["remark and key"].replace("\n", end).encode()
    path.write_bytes(before)
    with edit_home(path) as edit:
        edit.set("risk", 0.2)
    assert undo_path(path).read_bytes() == before
    after = path.read_bytes().decode()
    assert after.count("\n") == after.count(end)
    assert f"version = {VERSION}{end}" in after


def test_one_change_is_taken_back_while_a_later_one_and_the_version_stay(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(OLDER["remark apart"], "utf-8")
    with edit_home(path) as edit:
        first = edit.before
        edit.change(edit.document["plant"][0], count=7)
        then = edit.text()
    assert path.read_text("utf-8") == then
    with edit_home(path) as edit:
        edit.change(edit.document["plant"][1], count=4)
    undo_change(path, first, then)
    home = read_home(path)
    assert (home.version, home.plant[0].count, home.plant[1].count) == (
        VERSION,
        parse_home(first, where="h").plant[0].count,
        4,
    )


def test_what_changes_nothing_writes_nothing(older):
    before = older.read_bytes()
    with edit_home(older):
        pass
    assert older.read_bytes() == before
    assert not undo_path(older).exists()


def test_a_later_version_is_refused_and_stays_as_it_is(tmp_path):
    path = tmp_path / "home.toml"
    text = f"version = {VERSION + 1}\nmoods = 3\n{BODY}"
    path.write_text(text, "utf-8")
    with pytest.raises(InputError) as caught:
        read_home(path)
    line = str(caught.value)
    assert "later climrisk" in line
    assert f"version = {VERSION + 1}" in line
    assert f"Allowed: up to version = {VERSION}" in line
    with pytest.raises(InputError, match="later climrisk"), edit_home(path) as edit:
        edit.set("risk", 0.2)
    assert path.read_text("utf-8") == text
    assert not undo_path(path).exists()


@pytest.mark.parametrize("value", ["-1", "true", '"1"', "1.0"])
def test_a_version_is_a_whole_number(value):
    with pytest.raises(InputError, match="wrong entry version"):
        parse_home(f"version = {value}\n{BODY}", where="home.toml")


@pytest.mark.parametrize("writes", [0, 1])
def test_an_upgrade_that_ends_early_loses_nothing(older, monkeypatch, writes):
    before = older.read_bytes()
    done: list[Path] = []

    def ends(path, data, **options):
        if len(done) == writes:
            raise OSError(28, "No space left on device")
        done.append(path)
        replace_file(path, data, **options)

    monkeypatch.setattr("climrisk.home.write.replace_file", ends)
    with pytest.raises(InputError, match="cannot write"), edit_home(older) as edit:
        edit.change(edit.document["plant"][-1], count=3)
    assert older.read_bytes() == before
    if writes:
        assert undo_path(older).read_bytes() == before


def test_what_we_write_says_its_version(tmp_path):
    assert read_home(EXAMPLE).version == VERSION
    assert parse_home(demo_home_text(), where="demo").version == VERSION
    path = tmp_path / "made.toml"
    assert main(["init", str(path), "--demo", "--spot", "rail=open-rail"]) == 0
    assert read_home(path).version == VERSION
