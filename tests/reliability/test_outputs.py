"""What a command writes never destroys what it reads, or another thing it writes."""

from __future__ import annotations

import os
import shutil
from importlib import import_module
from pathlib import Path

import pytest

from climrisk.cli.main import main
from climrisk.commands import COMMANDS
from climrisk.commands.init.command import InitInput
from climrisk.core.errors import InputError
from climrisk.core.output_paths import check_outputs
from examples.made_region import write
from tests.asking import region
from tests.made_files import logger_csv, truth

HOME = Path(__file__).parents[2] / "examples" / "home.toml"


@pytest.fixture
def folder(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    shutil.copy(HOME, "h.toml")
    (tmp_path / "sub").mkdir()
    return tmp_path


def refused(capsys, *words):
    """Return the one line of a command that refuses."""
    assert main(list(words)) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert err.count("\n") == 1
    return err


def never(monkeypatch):
    """Let any computation be an error."""

    def computed(*args, **kwargs):
        raise AssertionError("computed before the outputs were checked")

    monkeypatch.setattr("climrisk.commands.calendar.request.calendar", computed)


@pytest.mark.parametrize("option", ["--html", "--csv", "--ics", "--sheet", "--nights"])
@pytest.mark.parametrize(
    "name", ["h.toml", "./h.toml", "sub/../h.toml", "soft.html", "hard.html"]
)
def test_the_home_is_never_overwritten(folder, capsys, monkeypatch, option, name):
    never(monkeypatch)
    before = (folder / "h.toml").read_bytes()
    Path("soft.html").symlink_to("h.toml")
    os.link("h.toml", "hard.html")
    error = refused(capsys, "calendar", "--home", "h.toml", option, name)
    assert "this would overwrite h.toml" in error
    assert option in error
    assert (folder / "h.toml").read_bytes() == before


def test_home_and_two_outputs_of_one_name(folder, capsys, monkeypatch):
    never(monkeypatch)
    words = ("calendar", "--home", "h.toml", "--html", "h.toml", "--csv", "h.toml")
    refused(capsys, *words)
    assert (folder / "h.toml").read_bytes() == HOME.read_bytes()


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("a.html", "a.html"),
        ("a.html", "sub/../a.html"),
        ("a.html", "soft.html"),
        # One file on systems that do not tell capitals or composed letters apart.
        ("a.html", "A.HTML"),
        ("caf\u00e9.html", "cafe\u0301.html"),
    ],
)
def test_two_outputs_are_two_files(folder, capsys, monkeypatch, one, other):
    never(monkeypatch)
    Path("soft.html").symlink_to("a.html")
    error = refused(
        capsys, "calendar", "--home", "h.toml", "--html", one, "--csv", other
    )
    assert "--html and --csv would write the same file" in error


def test_the_logger_a_home_names_is_never_overwritten(folder, capsys, monkeypatch):
    never(monkeypatch)
    text = HOME.read_text("utf-8").replace("demo = true", 'file = "log.csv"')
    assert "log.csv" in text
    Path("h.toml").write_text(text, "utf-8")
    logger_csv(folder / "log.csv", truth("2023-01-01", 1000))
    before = Path("log.csv").read_bytes()
    error = refused(capsys, "calendar", "--home", "h.toml", "--csv", "log.csv")
    assert "this would overwrite log.csv" in error
    assert Path("log.csv").read_bytes() == before


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("sub", "a folder is there"),
        ("/dev/null", "not a regular file"),
        ("/dev/full", "not a regular file"),
        ("fifo", "not a regular file"),
        ("no/where.html", "no such folder"),
        ("x" * 400, "cannot be used"),
        ("loop.html", "a link that leads to itself"),
    ],
)
def test_only_regular_files_are_written(folder, capsys, monkeypatch, name, words):
    never(monkeypatch)
    os.mkfifo("fifo")
    Path("loop.html").symlink_to("loop.html")
    assert words in refused(capsys, "calendar", "--home", "h.toml", "--html", name)


def test_every_command_that_writes_is_checked(folder, capsys):
    log = logger_csv(folder / "log.csv", truth("2023-01-01", 1000))
    before = log.read_bytes()
    given = ("--file", "log.csv", "--at", "44,15,10")
    for words in (
        ("assess", "Masdevallia", *given, "--html"),
        ("assess", "Masdevallia", *given, "--nights"),
        ("winter", *given, "--png"),
        ("arrive", "Masdevallia", *given, "--html"),
        ("event", *given, "--html"),
        ("review", *given, "--csv"),
        ("pots", *given, "--csv"),
        ("spots", "Masdevallia", *given, "--html"),
        ("remedies", "Masdevallia", *given, "--html"),
        ("learn", *given, "--csv"),
        ("learn", "--against", "log.csv", "--csv"),
        ("logger", "log.csv", "--html"),
        ("tonight", "--home", "log.csv", "--html"),
        ("calendar", "--home", "log.csv", "--sheet"),
        ("plants", "--home", "log.csv", "--csv"),
    ):
        error = refused(capsys, *words, "log.csv")
        assert "this would overwrite log.csv" in error, words
        assert log.read_bytes() == before


def test_every_option_that_names_a_file_is_known():
    read = {"file", "home", "source", "path", "plants"}  # plants: of init
    written = {"html", "png", "csv", "ics", "sheet", "nights", "out"}
    found: dict[bool, set[str]] = {True: set(), False: set()}
    modules = (import_module(f"climrisk.commands.{n}.command") for n in COMMANDS)
    for inputs in (*(m.COMMAND.inputs for m in modules), InitInput):
        for declared in inputs.declared():
            if "Path" in str(declared.type):
                found[declared.option.writes].add(declared.name)
    assert found == {True: written, False: read}


def test_archive_and_own_profiles_are_never_overwritten(folder, capsys, monkeypatch):
    never(monkeypatch)
    stored = folder / "data" / "archive" / "99001" / "2021.climrisk"
    stored.parent.mkdir(parents=True)
    stored.write_text("hours")
    words = ("calendar", "--home", "h.toml", "--csv", str(stored))
    assert "which is read" in refused(capsys, *words)
    assert stored.read_text() == "hours"


def test_a_new_home_is_not_its_own_weather(folder, capsys):
    log = logger_csv(folder / "log.csv", truth("2023-01-01", 1000))
    before = log.read_bytes()
    place = ("--at", "44,15,10", "--force")
    words = ("init", "log.csv", "--file", "log.csv", *place)
    assert "this would overwrite log.csv" in refused(capsys, *words)
    listed = ("init", "log.csv", "--plants", "log.csv", "--demo", "--force")
    assert "this would overwrite log.csv" in refused(capsys, *listed)
    log.rename("home.toml.undo")
    shutil.copy("h.toml", "home.toml")
    words = ("init", "home.toml", "--file", "home.toml.undo", *place)
    assert "this would overwrite home.toml.undo" in refused(capsys, *words)
    assert Path("home.toml.undo").read_bytes() == before
    error = refused(capsys, "init", "/dev/null", "--demo", "--force")
    assert "not a regular file" in error


def test_the_demo_replaces_no_link_to_something_else(folder, capsys):
    Path("out").mkdir()
    Path("out/report.html").symlink_to("/dev/null")
    assert "not a regular file" in refused(capsys, "demo", "--out", "out")
    assert "cannot make the folder" in refused(capsys, "demo", "--out", "h.toml")


def test_a_region_never_removes_its_input(folder):
    write(folder / "maps.nc.copy-0.zarr", rows=2, columns=3, hours=48, chunk=(48, 2, 3))
    source = folder / "maps.nc.copy-0.zarr"
    held = sorted(p for p in source.rglob("*") if p.is_file())
    for out in (folder / "maps.nc", source, source / "in.nc"):
        with pytest.raises(InputError, match=r"overwrite|something else is there"):
            region(source, ["Masdevallia"], out=out, rechunk=True)
    assert sorted(p for p in source.rglob("*") if p.is_file()) == held


def test_the_check_lets_new_and_old_reports_pass(folder):
    Path("old.html").write_text("old")
    check_outputs(
        {"--html": Path("old.html"), "--csv": Path("sub/new.csv")}, [Path("h.toml")]
    )


def test_a_report_goes_where_a_link_leads(folder, capsys):
    Path("link.html").symlink_to("sub/report.html")
    assert main(["winter", "--demo", "--years", "3", "--html", "link.html"]) == 0
    capsys.readouterr()
    assert Path("link.html").is_symlink()
    assert Path("sub/report.html").stat().st_size > 1000
