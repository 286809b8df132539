"""The home file through kills, full and read-only disks; private to its owner."""

from __future__ import annotations

import contextlib
import os
import signal
import stat
import subprocess
import sys
import time
from pathlib import Path

import pytest

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.home import edit_home, read_home
from climrisk.home.write import undo_path
from tests.reliability.disks import read_only, small_disk
from tests.reliability.long_runs import repeats

HOME = Path(__file__).parents[2] / "examples" / "home.toml"
ROOT = Path(__file__).parents[2]


def mode(path):
    return stat.S_IMODE(path.stat().st_mode)


@pytest.fixture
def home(tmp_path):
    path = tmp_path / "home.toml"
    path.write_text(HOME.read_text("utf-8"), "utf-8")
    return path


def test_a_new_home_is_its_owners_alone(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    before = os.umask(0)
    try:
        assert main(["init", "home.toml", "--demo"]) == 0
        with edit_home(Path("home.toml")) as edit:
            edit.set("risk", 0.2)
        assert main(["init", "home.toml", "--demo", "--force"]) == 0
    finally:
        os.umask(before)
    names = {".home.toml.lock", "home.toml", "home.toml.undo"}
    assert {path.name for path in tmp_path.iterdir()} == names
    assert {mode(path) for path in tmp_path.iterdir()} == {0o600}


def test_a_home_that_others_may_read_stays_so(home):
    home.chmod(0o644)
    with edit_home(home) as edit:
        edit.set("risk", 0.2)
    assert mode(home) == 0o644
    assert mode(undo_path(home)) == 0o600


def test_a_report_has_the_permissions_that_the_user_gives_new_files(home, tmp_path):
    for mask, wanted in ((0o022, 0o644), (0o077, 0o600)):
        before = os.umask(mask)
        try:
            out = tmp_path / f"{mask:o}.html"
            assert main(["winter", "--demo", "--years", "2", "--html", str(out)]) == 0
        finally:
            os.umask(before)
        assert mode(out) == wanted


def test_a_home_behind_a_link_is_changed_where_it_lies(home, tmp_path):
    link = tmp_path / "link.toml"
    link.symlink_to(home)
    with edit_home(link) as edit:
        edit.set("risk", 0.2)
    assert link.is_symlink()
    assert read_home(home).risk == 0.2


def test_a_full_disk_leaves_home_and_undo_whole(tmp_path):
    changed = set()
    for kb in range(16, 40, 4):
        with small_disk(tmp_path / "disk", kb) as disk:
            home = disk / "home.toml"
            home.write_text(HOME.read_text("utf-8"), "utf-8")
            text = home.read_bytes()
            with contextlib.suppress(InputError), edit_home(home) as edit:
                for i in range(40):
                    edit.set("answers", f"x {i:090d}", "Masdevallia")
            changed.add(home.read_bytes() != text)
            if home.read_bytes() != text:
                assert len(read_home(home).answers) >= 40
            if undo_path(home).exists():
                assert undo_path(home).read_bytes() == text
            assert not list(disk.glob(".climrisk-*"))
    assert changed == {True, False}


def test_a_full_disk_ends_every_report_with_2(tmp_path, capsys):
    with small_disk(tmp_path / "disk", 8) as disk:
        (disk / "fill").write_bytes(bytes(4096))
        words = ["exposure", "--demo", "--below", "5"]
        assert main(words) == 0
        reports = [
            ["winter", "--demo", "--years", "2", "--html", str(disk / "a.html")],
            ["demo", "--out", str(disk / "demo")],
        ]
        for words in reports[: repeats(1, 2)]:
            capsys.readouterr()
            assert main(words) == 2, words
            error = capsys.readouterr().err
            assert "No space left on device" in error
            assert error.count("\n") == 1
        assert {p.name for p in disk.rglob("*")} <= {"fill", "demo"}


def test_a_read_only_home_is_read_and_not_changed(home, tmp_path, capsys):
    with read_only(tmp_path):
        assert main(["plants", "--home", str(home)]) == 0
        with (
            pytest.raises(InputError, match="Read-only file system"),
            edit_home(home) as edit,
        ):
            edit.set("risk", 0.2)
        capsys.readouterr()
        out = tmp_path / "a.html"
        words = ["calendar", "--home", str(home), "--html", str(out)]
        assert main(words) == 2
        assert "cannot write into this folder" in capsys.readouterr().err


EDIT = """
import sys
from pathlib import Path
from climrisk.home import edit_home
path = Path(sys.argv[1])
with edit_home(path):
    pass
print("ready", flush=True)
for i in range(100000):
    with edit_home(path) as home:
        home.set("name", f"{i:05d} " * 30)
"""


@pytest.mark.long
def test_kill_at_any_moment_leaves_a_whole_home(home):
    first = read_home(home).name.split()
    for i in range(200):
        with subprocess.Popen(
            [sys.executable, "-c", EDIT, str(home)], stdout=subprocess.PIPE, cwd=ROOT
        ) as process:
            assert process.stdout.readline().strip() == b"ready"
            time.sleep(0.02 + 0.3 * ((i * 0.618) % 1))
            process.send_signal(signal.SIGKILL)
        for path in (home, undo_path(home)):
            if path.exists():
                words = read_home(path).name.split()
                assert len(set(words)) == 1 or words == first
        # The dead hold no lock.
        with edit_home(home) as edit:
            edit.set("risk", 0.2 if i % 2 else 0.1)


FULL = """
import sys
from climrisk.cli.main import run
run(sys.argv[1:])
"""


@pytest.mark.parametrize(
    "words",
    [
        ["exposure", "--demo", "--below", "5"],
        pytest.param(
            ["exposure", "--demo", "--below", "5", "--json"], marks=pytest.mark.long
        ),
        pytest.param(["schema"], marks=pytest.mark.long),
        ["--help"],
    ],
    ids=" ".join,
)
def test_stdout_on_a_full_disk(words):
    with Path("/dev/full").open("wb") as out:
        done = subprocess.run(
            [sys.executable, "-c", FULL, *words],
            stdout=out,
            stderr=subprocess.PIPE,
            text=True,
            cwd=ROOT,
        )
    assert done.returncode == 2
    assert "No space left on device" in done.stderr
    assert done.stderr.count("\n") == 1
