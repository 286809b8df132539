"""The archive on disk: what survives a kill, a full disk, damage and two writers."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.weather.stations import archive as archive_room
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.archive_file import StationYear, encoded


def a_year(value=10.0, hours=8760):
    temps = np.full(8760, np.nan)
    temps[:hours] = value
    flags = {"temp": np.where(np.isfinite(temps), 0, -1).astype(np.int8)}
    return StationYear("1", 2021, {"temp": temps}, ("isd_lite",), flags, "made")


def test_what_is_written_is_read(tmp_path):
    archive = Archive(tmp_path)
    written = archive.write(a_year(hours=5000))
    stored = archive.read("1", 2021)
    assert np.array_equal(
        stored.columns["temp"], written.columns["temp"], equal_nan=True
    )
    assert np.array_equal(stored.flags["temp"], written.flags["temp"])
    assert (stored.known_hours, stored.sources, stored.credit) == (
        5000,
        ("isd_lite",),
        "made",
    )
    assert abs(stored.age_days(datetime.now(UTC))) < 0.1
    assert archive.read("1", 2020) is None
    assert archive.read("2", 2021) is None


def test_fewer_hours_never_replace_more(tmp_path):
    archive = Archive(tmp_path)
    archive.write(a_year(10.0))
    before = archive.path("1", 2021).read_bytes()
    assert archive.write(a_year(11.0, hours=100)).columns["temp"][0] == 10.0
    assert archive.path("1", 2021).read_bytes() == before
    assert archive.last_answer("1", 2021).answer == "fewer hours"
    # As many hours are a correction and are taken.
    assert archive.write(a_year(11.0)).columns["temp"][0] == 11.0
    assert archive.last_answer("1", 2021) is None


def test_an_absence_is_kept_with_its_time(tmp_path):
    archive = Archive(tmp_path)
    archive.write_answer("1", 2021, "no file", "2024-06-01T00:00:00+00:00")
    answer = archive.last_answer("1", 2021)
    assert answer.answer == "no file"
    assert answer.age_days(datetime(2024, 6, 3, tzinfo=UTC)) == 2.0
    archive.path("1", 2021).with_suffix(".asked").write_text("{")
    assert archive.last_answer("1", 2021) is None
    assert archive.listing() == []


@pytest.mark.parametrize("step", ["fsync", "write", "replace"])
def test_a_full_disk_leaves_the_old_file(tmp_path, monkeypatch, step):
    archive = Archive(tmp_path)
    archive.write(a_year(10.0))
    before = archive.path("1", 2021).read_bytes()

    def full(*args, **kwargs):
        raise OSError(28, "No space left on device")

    class FullFile:
        def __init__(self, descriptor, mode):
            os.close(descriptor)

        def __enter__(self):
            return self

        def __exit__(self, *exc):
            return None

        write = full

    with monkeypatch.context() as patch:
        if step == "fsync":
            patch.setattr(os, "fsync", full)
        elif step == "write":
            patch.setattr(os, "fdopen", FullFile)
        else:
            patch.setattr(Path, "replace", full)
        with pytest.raises(OSError, match="No space left"):
            archive.write(a_year(11.0))
    assert archive.path("1", 2021).read_bytes() == before
    assert [p.name for p in archive.path("1", 2021).parent.iterdir()] == [
        "2021.climrisk"
    ]


def test_any_flipped_byte_and_any_cut_is_seen(tmp_path):
    archive = Archive(tmp_path)
    archive.write(a_year(hours=300))
    path = archive.path("1", 2021)
    good = path.read_bytes()
    rng = np.random.default_rng(1)
    places = [*rng.integers(0, len(good), 40), 0, len(good) - 1]
    broken = [good[:i] + bytes([good[i] ^ 4]) + good[i + 1 :] for i in places]
    broken += [good[: int(i)] for i in rng.integers(0, len(good), 10)]
    broken += [b"", b"[]\n", b"null\nx", b"<html></html>", good + b"x"]
    for data in broken:
        path.write_bytes(data)
        assert [r["state"] for r in archive.listing()] == ["damaged"], data[:80]
    assert archive.read("1", 2021) is None
    assert path.with_suffix(".damaged").read_bytes() == broken[-1]
    assert "2021: the archived file was damaged" in archive.notes[0]
    assert [r["state"] for r in archive.listing()] == ["set aside"]


def test_a_file_in_a_wrong_place_is_no_answer(tmp_path):
    archive = Archive(tmp_path)
    archive.write(a_year())
    archive.path("1", 2021).rename(archive.path("1", 2019))
    assert archive.read("1", 2019) is None


def test_hours_that_do_not_fill_the_year_are_damage(tmp_path):
    archive = Archive(tmp_path)
    short = a_year()
    short.columns["temp"] = short.columns["temp"][:100]
    archive.write(a_year())
    archive.path("1", 2021).write_bytes(encoded(short))
    assert [r["state"] for r in archive.listing()] == ["damaged"]


def test_a_folder_that_cannot_be_written_is_the_users_to_mend(tmp_path):
    (tmp_path / "file").write_text("")
    archive = Archive(tmp_path / "file" / "archive")
    with pytest.raises(InputError, match="CLIMRISK_DATA"), archive.locked():
        pass


def test_an_id_cannot_leave_the_folder(tmp_path):
    path = Archive(tmp_path).path("../../etc/x", 2021)
    assert path.parent.parent == tmp_path


def test_a_held_archive_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(archive_room, "_LOCK_S", 0.05)
    archive = Archive(tmp_path)
    with (
        archive.locked(),
        pytest.raises(WeatherUnavailableError, match="another climrisk process"),
        archive.locked(),
    ):
        pass


WRITER = """
import os, sys, time, numpy as np
from pathlib import Path
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.archive_file import StationYear
archive = Archive(Path(sys.argv[1]))
if sys.argv[2] == "half":
    def hang(descriptor):
        print("half", flush=True)
        time.sleep(60)
    os.fsync = hang
print("ready", flush=True)
for i in range(100000):
    temps = np.full(8760, float(i))
    flags = {"temp": np.zeros(8760, np.int8)}
    one = StationYear("1", 2021, {"temp": temps}, ("x",), flags, "made")
    with archive.locked():
        archive.write(one)
"""


def writer(folder, kind):
    return subprocess.Popen(
        [sys.executable, "-c", WRITER, str(folder), kind], stdout=subprocess.PIPE
    )


def killed(process):
    process.send_signal(signal.SIGKILL)
    process.wait()
    process.stdout.close()


def test_kill_in_the_middle_of_a_write_leaves_the_old_file(tmp_path):
    archive = Archive(tmp_path)
    archive.write(a_year(10.0))
    before = archive.path("1", 2021).read_bytes()
    process = writer(tmp_path, "half")
    assert process.stdout.readline().strip() == b"ready"
    assert process.stdout.readline().strip() == b"half"
    (half,) = tmp_path.glob("*/.climrisk-*")
    killed(process)
    assert archive.path("1", 2021).read_bytes() == before
    with archive.locked():  # the dead hold no lock
        assert archive.read("1", 2021).columns["temp"][0] == 10.0
    # What the dead left is swept by a later write.
    os.utime(half, (time.time() - 7200,) * 2)
    archive.write(a_year(12.0))
    assert not half.exists()


def _write(folder, value):
    archive = Archive(folder)
    for _ in range(20):
        with archive.locked():
            archive.write(a_year(value))


def test_two_processes_at_once(tmp_path):
    spawn = multiprocessing.get_context("spawn")
    workers = [spawn.Process(target=_write, args=(tmp_path, v)) for v in (1.0, 2.0)]
    for worker in workers:
        worker.start()
    for worker in workers:
        worker.join()
        assert worker.exitcode == 0
    stored = Archive(tmp_path).read("1", 2021)
    assert set(stored.columns["temp"]) <= {1.0, 2.0}
    assert len(set(stored.columns["temp"])) == 1
    head = json.loads(Archive(tmp_path).path("1", 2021).read_bytes().split(b"\n")[0])
    assert {"station", "year", "fetched", "credit", "sha256"} <= set(head)
