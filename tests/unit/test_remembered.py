"""What is read back from the cache is what was computed, or is computed anew."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest

from climrisk.core.disk_cache import remembered
from climrisk.physics.solar import sun_path

ARRAY = np.arange(12, dtype=np.float32).reshape(2, 6)


@pytest.fixture
def cache(tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    return tmp_path / "cache"


def counted():
    calls = []

    def compute():
        calls.append(1)
        return ARRAY

    return compute, calls


def test_second_time_reads_the_file(cache):
    compute, calls = counted()
    for _ in range(3):
        assert np.array_equal(remembered("a", "x", (2, 6), compute), ARRAY)
    assert len(calls) == 1
    remembered("a", "y", (2, 6), compute)
    assert len(calls) == 2


@pytest.mark.parametrize("damage", [b"", b"short", None])
def test_a_damaged_file_is_computed_anew(cache, damage):
    compute, calls = counted()
    remembered("a", "x", (2, 6), compute)
    (path,) = cache.glob("a/*")
    data = bytearray(path.read_bytes())
    data[-3] ^= 255
    path.write_bytes(bytes(data) if damage is None else damage)
    assert np.array_equal(remembered("a", "x", (2, 6), compute), ARRAY)
    assert len(calls) == 2
    remembered("a", "x", (2, 6), compute)
    assert len(calls) == 2


def test_another_shape_is_not_believed(cache):
    compute, _ = counted()
    remembered("a", "x", (2, 6), compute)
    remembered("a", "x", (5, 2), lambda: np.zeros((5, 2), np.float32))
    assert remembered("a", "x", (5, 2), compute).shape == (5, 2)


def test_a_folder_that_cannot_be_written_changes_nothing(tmp_path, monkeypatch):
    (tmp_path / "file").write_text("in the way")
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "file"))
    compute, calls = counted()
    for _ in range(2):
        assert np.array_equal(remembered("a", "x", (2, 6), compute), ARRAY)
    assert len(calls) == 2


def test_only_the_latest_files_are_kept(cache):
    for i in range(40):
        remembered("a", str(i), (2, 6), lambda: ARRAY)
    assert len(list(cache.glob("a/*"))) == 24


def test_the_sun_is_the_same_from_the_file(cache):
    time = np.arange("2019-07-01", "2021-07-01", 60, dtype="datetime64[m]")
    fresh, again = sun_path(time, 44.1, 15.1), sun_path(time, 44.1, 15.1)
    assert np.array_equal(fresh.elevation_deg, again.elevation_deg)
    assert np.array_equal(fresh.azimuth_deg, again.azimuth_deg)
    other = sun_path(time, 44.2, 15.1)
    assert not np.array_equal(fresh.elevation_deg, other.elevation_deg)


def test_a_second_command_does_without_the_sun_library(cache):
    code = (
        "import sys; from climrisk.cli.main import main;"
        "s = main(['exposure', '--demo', '--below', '5', '--json']);"
        "sys.exit(s or 10 * ('pvlib' in sys.modules))"
    )
    runs = [
        subprocess.run([sys.executable, "-c", code], capture_output=True).returncode
        for _ in range(2)
    ]
    assert runs == [10, 0]
