"""A full disk wherever a file is written: one line, and what was there stays."""

from __future__ import annotations

import multiprocessing
import sys
from pathlib import Path

import pytest

from climrisk.cli.main import main
from climrisk.home import demo_home_text, read_home
from climrisk.web.settings import keep_log
from tests.reliability.long_runs import repeats

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="no such limit here")
FEW = ("--demo", "--years", "3", "--members", "1")
ASSESS = ("assess", "Masdevallia", *FEW)
CALENDAR = ("calendar", "Masdevallia", *FEW)
WRITES = {
    "init": ("init", "out", "--demo"),
    "init again": ("init", "home.toml", "--demo", "--force"),
    "assess html": (*ASSESS, "--html", "out"),
    "assess csv": (*ASSESS, "--csv", "out"),
    "assess nights": (*ASSESS, "--nights", "out"),
    "calendar html": (*CALENDAR, "--html", "out"),
    "calendar ics": (*CALENDAR, "--ics", "out"),
    "calendar sheet": (*CALENDAR, "--sheet", "out"),
    "winter csv": ("winter", "Masdevallia", *FEW, "--csv", "out"),
    "pots html": ("pots", *FEW, "--html", "out"),
    "tonight html": ("tonight", "Vanda coerulea", "--words", "4", "--html", "out"),
    "learn save": ("learn", "--demo", "--home", "home.toml", "--spot", "balcony"),
}
WRITES["learn save"] += ("--save",)
USUAL = ("init", "init again", "tonight html", "calendar ics")


def _limited(folder, arguments, most, pipe):
    """Run a command that can write no file longer than so many bytes."""
    import io
    import os
    import resource

    os.chdir(folder)
    os.environ["CLIMRISK_DATA"] = str(folder / "data")
    sys.stdout, sys.stderr = io.StringIO(), io.StringIO()
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    status = main(list(arguments))
    pipe.send((status, sys.stderr.getvalue()))


def run_limited(processes, *arguments):
    ours, theirs = processes.Pipe(duplex=False)
    one = processes.Process(target=_limited, args=(*arguments, theirs), daemon=True)
    one.start()
    theirs.close()
    try:
        return ours.recv()
    finally:
        one.join(30)


@pytest.fixture(scope="module")
def processes():
    made = multiprocessing.get_context("forkserver")
    made.set_forkserver_preload([__name__, "climrisk.commands.api"])
    return made


@pytest.mark.parametrize(
    "case",
    [
        name if name in USUAL else pytest.param(name, marks=pytest.mark.long)
        for name in WRITES
    ],
)
def test_no_room_for_a_file_is_one_line(tmp_path, processes, case, counted):
    limits = (0, 100, 250)[: repeats(1, 3)]
    (tmp_path / "home.toml").write_text(demo_home_text(), "utf-8")
    for most in limits:
        old = b"x" * 50
        if case != "init":
            (tmp_path / "out").write_bytes(old)
        status, error = run_limited(processes, tmp_path, WRITES[case], most)
        assert status == 2, error
        assert error.startswith("error: ")
        assert error.count("\n") == 1
        assert (tmp_path / "home.toml").read_text("utf-8") == demo_home_text()
        read_home(tmp_path / "home.toml")
        if case == "init":
            assert not (tmp_path / "out").exists()
        else:
            assert (tmp_path / "out").read_bytes() == old
        left = {p.name for p in tmp_path.iterdir()} - {"out", "home.toml", "data"}
        assert {n for n in left if not n.endswith((".lock", ".undo"))} == set()
    counted(f"{len(limits)} full disks")


def _uploaded(folder, most, pipe):
    import resource

    from climrisk.core.errors import InputError

    resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
    try:
        pipe.send(keep_log(Path(folder), "log.csv", b"time,t\n" * 100))
    except InputError as error:
        pipe.send(error.line())


def test_no_room_for_an_upload_is_one_line(tmp_path, processes):
    ours, theirs = processes.Pipe(duplex=False)
    one = processes.Process(
        target=_uploaded, args=(tmp_path / "logs", 100, theirs), daemon=True
    )
    one.start()
    assert "cannot write" in ours.recv()
    one.join(30)
