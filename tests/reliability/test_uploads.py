"""Uploaded files: whole or not there, under names that no other file has."""

from __future__ import annotations

import os
import shutil
import stat
import time
import tomllib

import pytest
from starlette.testclient import TestClient

from climrisk.core.errors import InputError
from climrisk.web.app import make_app
from climrisk.web.settings import Settings, keep_log, log_file
from tests.reliability.kills import fork_server, kill_at_work, moments

LOG = b"time,temperature\n2021-01-01 00:00,4.5\n"
#: Large enough that a kill meets the writing.
BIG = LOG + b"2021-01-01 01:00,4.5\n" * 40_000


@pytest.fixture
def page(tmp_path):
    home = tmp_path / "data" / "home.toml"
    settings = Settings(home=home, logs=tmp_path / "logs", workers=0)
    with TestClient(make_app(settings), base_url="http://127.0.0.1") as one:
        one.follow_redirects = False
        yield one


def begin(page, key):
    form = {"do": "begin", "log": key, "at": "44.1,15.2,18"}
    answer = page.post("/home", data=form)
    assert answer.status_code == 303, answer.text


def logger_of(home):
    file = tomllib.loads(home.read_text("utf-8"))["weather"]["file"]
    return home.parent / file


def test_a_file_of_the_same_name_is_not_taken_for_the_upload(page, tmp_path):
    home = tmp_path / "data" / "home.toml"
    home.parent.mkdir()
    (home.parent / "balcony.csv").write_bytes(b"another logger's hours\n")
    begin(page, keep_log(tmp_path / "logs", "balcony.csv", LOG))
    assert logger_of(home).read_bytes() == LOG
    assert (home.parent / "balcony.csv").read_bytes() == b"another logger's hours\n"


@pytest.mark.parametrize("name", ["home.toml", "home.toml.undo", ".home.toml.lock"])
def test_an_upload_never_becomes_the_home_file(page, tmp_path, name):
    home = tmp_path / "data" / "home.toml"
    begin(page, keep_log(tmp_path / "logs", name, LOG))
    assert home.read_bytes() != LOG
    assert logger_of(home).read_bytes() == LOG
    assert logger_of(home).name.startswith("log-")


def test_an_edited_copy_stays_and_the_upload_gets_a_name_of_its_own(page, tmp_path):
    home = tmp_path / "data" / "home.toml"
    key = keep_log(tmp_path / "logs", "balcony.csv", LOG)
    begin(page, key)
    first = logger_of(home)
    first.write_bytes(b"corrected by hand\n")
    home.unlink()
    begin(page, key)
    assert first.read_bytes() == b"corrected by hand\n"
    assert logger_of(home) != first
    assert logger_of(home).read_bytes() == LOG
    home.unlink()
    begin(page, key)
    assert logger_of(home).read_bytes() == LOG
    assert len(list(home.parent.glob("log-*"))) == 2


@pytest.mark.parametrize("rest", [b"", LOG[:9], LOG + b"x", None])
def test_what_a_killed_upload_left_is_never_read(tmp_path, rest):
    key = keep_log(tmp_path, "a.csv", LOG)
    stored = log_file(tmp_path, key)
    if rest is None:
        stored.rename(stored.parent / ".climrisk-0123456789ab")
    else:
        stored.write_bytes(rest)
        (stored.parent / ".climrisk-0123456789ab").write_bytes(LOG)
    with pytest.raises(InputError, match="Hand the file over again"):
        log_file(tmp_path, key)
    assert keep_log(tmp_path, "a.csv", LOG) == key
    assert log_file(tmp_path, key).read_bytes() == LOG


def test_leftovers_are_removed_and_what_is_being_written_stays(tmp_path):
    key = keep_log(tmp_path, "a.csv", LOG)
    old, young = (tmp_path / key / f".climrisk-{i:012d}" for i in (1, 2))
    for path in (old, young):
        path.write_bytes(b"half")
    os.utime(old, (time.time() - 7200,) * 2)
    keep_log(tmp_path, "b.csv", b"other")
    assert not old.exists()
    assert young.exists()


def test_a_folder_in_the_place_of_an_old_upload_stops_nothing(tmp_path, monkeypatch):
    monkeypatch.setattr("climrisk.web.settings._MOST_LOGS", 1)
    for i in range(3):
        key = keep_log(tmp_path, "a.csv", b"%d" % i)
        (tmp_path / key / "folder").mkdir()
        os.utime(tmp_path / key, (i + 1,) * 2)
    keep_log(tmp_path, "a.csv", LOG)
    assert len(list(tmp_path.iterdir())) == 2


def test_uploads_are_for_their_owner_alone(page, tmp_path):
    home = tmp_path / "data" / "home.toml"
    begin(page, keep_log(tmp_path / "logs", "balcony.csv", LOG))
    for path in tmp_path.rglob("*"):
        mode = stat.S_IMODE(path.stat().st_mode)
        assert mode == (0o700 if path.is_dir() else 0o600), path
    assert home.exists()


def test_a_long_name_in_any_script_can_be_kept(tmp_path):
    for name in ("\U00020000" * 200 + ".csv", "a" * 5000, "é" * 300):
        key = keep_log(tmp_path, name, name.encode())
        assert log_file(tmp_path, key).read_bytes() == name.encode()


def upload(pipe, folder):
    """Hand over eight large files again and again."""
    for i in range(100_000):
        pipe.send(i)
        keep_log(folder, "a.csv", BIG + b"%d" % (i % 8))


@pytest.mark.long
def test_kill_at_any_moment_leaves_whole_uploads(tmp_path, counted):
    processes = fork_server(__name__)
    kills = 200
    for after_s in moments(kills, 0.0, 0.37):
        kill_at_work(processes, upload, tmp_path, after_s=after_s)
        for n in range(8):
            data = BIG + b"%d" % n
            key = keep_log(tmp_path, "a.csv", data)
            assert log_file(tmp_path, key).read_bytes() == data
        # What is no longer kept, or only in part, is written again.
        shutil.rmtree(tmp_path / key)
    left = list(tmp_path.rglob(".climrisk-*"))
    for path in left:
        os.utime(path, (time.time() - 7200,) * 2)
    keep_log(tmp_path, "a.csv", b"the next one")
    assert not list(tmp_path.rglob(".climrisk-*"))
    counted(f"{kills} kills, {len(left)} unfinished files, never read, then swept")
