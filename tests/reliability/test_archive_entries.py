"""An archive or data folder in any state is read as far as it can be read."""

from __future__ import annotations

import json
import os
import stat
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
from loopback_weather import LoopbackWeather

from climrisk.cli.main import main
from climrisk.core.errors import InputError
from climrisk.core.paths import cache_folder, data_folder
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.archive_file import StationYear
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.station import Stations
from tests.quick import but_quick
from tests.reliability.disks import read_only, small_disk

NOW = datetime(2024, 6, 1, tzinfo=UTC)
LATER = datetime(2099, 6, 1, tzinfo=UTC)


@pytest.fixture(scope="module")
def made():
    sample = LoopbackWeather.sample(years=range(2021, 2023), count=2)
    sample.httpd.server_close()
    return list(sample.stations.values()), {}


@pytest.fixture
def server(made, tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    stations, files = made
    with LoopbackWeather(stations) as running:
        running._files = dict(files)
        with running.client(tmp_path / "client"):
            yield running


def stations(now=NOW):
    return Stations(client=Client(tries=1, sleep=lambda seconds: None), now=now)


def series(now=NOW):
    room = stations(now)
    return room.load(room.named("99001"), 2021, 2022)


def a_year(hours=8760, value=10.0):
    temps = np.full(8760, np.nan)
    temps[:hours] = value
    flags = {"temp": np.zeros(8760, np.int8)}
    return StationYear("1", 2021, {"temp": temps}, ("x",), flags, "made")


def folder_entry(path):
    path.mkdir()
    (path / "more").write_text("x")


def dangling(path):
    path.symlink_to("nowhere")


def loop(path):
    path.symlink_to(path.name)


def brackets(path):
    path.write_bytes(b"[" * 5000 + b"\n")


def digits(path):
    path.write_bytes(b'{"year": ' + b"9" * 5000 + b"}\n")


ENTRIES = [folder_entry, dangling, loop, brackets, digits]


@pytest.mark.parametrize("entry", but_quick(ENTRIES, brackets))
def test_an_entry_that_is_no_file_is_fetched_anew(server, entry):
    whole = series()
    path = stations().archive.path("99001", 2021)
    path.unlink()
    entry(path)
    again = series()
    assert np.array_equal(again.air_temp_c, whole.air_temp_c, equal_nan=True)
    assert path.is_file()
    assert not path.is_symlink()
    if entry is not dangling:
        assert any("is set aside as" in note for note in again.notes)


@pytest.mark.parametrize("entry", ENTRIES)
@pytest.mark.parametrize("name", ["2021.climrisk", "2021.damaged", "2021.asked"])
def test_any_entry_can_be_listed(tmp_path, monkeypatch, capsys, entry, name):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    archive = Archive()
    archive.write(a_year())
    (archive.folder / "2").mkdir()
    entry(archive.folder / "2" / name)
    entry(archive.folder / "3")
    (archive.folder / "1" / "\u00b2.climrisk").write_text("no year")
    assert main(["stations", "--archive", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["archive"]
    states = {row["station"]: row["state"] for row in rows}
    assert states.pop("1") == "good"
    assert set(states.values()) <= {"damaged", "unreadable", "set aside"}
    assert bool(states) == (not name.endswith(".asked"))


def test_a_file_that_may_not_be_read(server, monkeypatch, capsys):
    whole = series()
    path = stations().archive.path("99001", 2021)
    content = path.read_bytes()
    read = Path.read_bytes

    def refuse(self):
        if self == path:
            raise PermissionError(13, "Permission denied")
        return read(self)

    with monkeypatch.context() as patch:
        patch.setattr(Path, "read_bytes", refuse)
        again = series()
        assert main(["stations", "--archive"]) == 0
    assert "unreadable" in capsys.readouterr().out
    assert np.array_equal(again.air_temp_c, whole.air_temp_c, equal_nan=True)
    assert any("cannot be read (Permission denied)" in note for note in again.notes)
    assert path.with_suffix(".damaged").read_bytes() == content


@pytest.mark.parametrize("name", ["", " ", ".", "..", "/", "9/9", "no such"])
def test_nothing_but_a_station_is_removed(tmp_path, monkeypatch, capsys, name):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    archive = Archive()
    archive.write(a_year())
    (archive.folder / "note.txt").write_text("mine")
    assert main(["stations", "--remove", name]) == 2
    assert "not in the archive" in capsys.readouterr().err
    assert archive.read("1", 2021) is not None
    assert (archive.folder / "note.txt").exists()


@pytest.mark.parametrize("entry", ENTRIES)
def test_a_station_with_strange_entries_can_be_removed(tmp_path, monkeypatch, entry):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    archive = Archive()
    archive.write(a_year())
    entry(archive.folder / "1" / "2020.climrisk")
    assert main(["stations", "--remove", "1"]) == 0
    assert archive.read("1", 2021) is None
    assert main(["stations", "--archive"]) == 0


def test_a_read_only_archive_is_read(server, tmp_path, capsys):
    whole = series()
    with read_only(tmp_path / "data"):
        requests_before = len(server.log)
        again = series()
        assert len(server.log) == requests_before
        assert np.array_equal(again.air_temp_c, whole.air_temp_c, equal_nan=True)
        words = ["exposure", "--station", "99001", "--below", "5", "--to", "2022-12-31"]
        assert main(words) == 0
        # A year that is not there is fetched and used.
        room = stations()
        other = room.load(room.named("99002"), 2021, 2021)
        assert any("could not be archived" in note for note in other.notes)
        assert np.isfinite(other.air_temp_c).sum() > 8000
        capsys.readouterr()
        assert main(["stations", "--remove", "99001"]) == 2
        assert "cannot remove this station" in capsys.readouterr().err
    # A station list that is old and cannot be replaced is used.
    os.utime(tmp_path / "data" / "stations.db", (0, 0))
    with read_only(tmp_path / "data"):
        assert any("station list is old" in note for note in series().notes)


def test_a_damaged_file_in_a_read_only_archive(server, tmp_path):
    whole = series()
    path = stations().archive.path("99001", 2021)
    path.write_bytes(path.read_bytes()[:-9])
    with read_only(tmp_path / "data"):
        again = series()
    assert np.array_equal(again.air_temp_c, whole.air_temp_c, equal_nan=True)
    assert any("the archived file was damaged" in note for note in again.notes)


@pytest.mark.long
def test_a_full_disk_loses_the_copy_and_not_the_answer(server, tmp_path, monkeypatch):
    whole = series()
    list_kb = (tmp_path / "data" / "stations.db").stat().st_size // 1024
    with small_disk(tmp_path / "disk", list_kb + 24) as disk:
        monkeypatch.setenv("CLIMRISK_DATA", str(disk))
        again = series()
        assert any("could not be archived" in note for note in again.notes)
        assert not list(disk.rglob(".climrisk-*"))
        again = series()  # and once more, the disk still being full
    assert np.array_equal(again.air_temp_c, whole.air_temp_c, equal_nan=True)


def test_the_folders_of_a_home_are_its_owners_alone(server, tmp_path):
    series()
    data = tmp_path / "data"
    for path in (data, *data.rglob("*")):
        mode = stat.S_IMODE(path.stat().st_mode)
        if path.name != "stations.db":  # the list of all stations says nothing
            assert mode == (0o700 if path.is_dir() else 0o600), path


def test_a_year_without_temperatures_is_no_year(server):
    only_rain = server.stations["99001"].frame.loc["2021", ["prcp", "rhum"]]
    body = type(server.stations["99001"])(
        "99001", 48.2, 16.4, 200, frame=only_rain
    ).csv_gz(2021)
    server._files["/hourly/2021/99001.csv.gz"] = body
    room = stations()
    weather = series()
    assert room.archive.read("99001", 2021) is None
    assert room.archive.last_answer("99001", 2021).answer == "no temperatures"
    assert any("2021: no temperatures, although" in note for note in weather.notes)
    assert [r["year"] for r in room.archive.listing()] == [2022]
    # It is asked for again when its time comes, and then replaced by what there is.
    server._files.clear()
    late = series(datetime(2024, 6, 9, tzinfo=UTC))
    assert np.isfinite(late.air_temp_c).sum() > 16_000


def test_an_empty_year_of_an_earlier_version_is_asked_for_again(server):
    archive = stations().archive
    empty = a_year(hours=0)
    archive.write(
        StationYear("99001", 2021, empty.columns, ("x",), empty.flags, "made")
    )
    weather = series()
    assert np.isfinite(weather.air_temp_c).sum() > 16_000
    assert archive.read("99001", 2021).known_hours > 8000


UNUSABLE = ["file", "file/x", "/dev/null/x", "dangling", "loop", "x" * 300]


@pytest.mark.parametrize("name", but_quick(UNUSABLE, "file/x"), ids=lambda n: n[:12])
def test_an_unusable_data_folder(tmp_path, monkeypatch, capsys, name):
    monkeypatch.chdir(tmp_path)
    Path("file").write_text("")
    Path("dangling").symlink_to("nowhere/at/all")
    Path("loop").symlink_to("loop")
    monkeypatch.setenv("CLIMRISK_DATA", name)
    # What needs no data goes on.
    for words in (
        ["exposure", "--demo", "--below", "5"],
        ["plants", "Masdevallia"],
        ["stations", "--archive"],
        ["pots", "--demo", "--years", "2", "--members", "1", "--pot", "glass"],
    ):
        assert main(words) == 0, words
    capsys.readouterr()
    for words in (
        ["exposure", "--station", "99001", "--below", "5"],
        ["stations", "--at", "48,16"],
        ["stations", "--remove", "1"],
    ):
        assert main(words) == 2, words
        error = capsys.readouterr().err
        assert "the data folder cannot be used (CLIMRISK_DATA)" in error
        assert error.count("\n") == 1
    from climrisk.web.settings import keep_log

    with pytest.raises(InputError, match="cannot keep the file"):
        keep_log(data_folder() / "logs", "a.csv", b"x")


def test_an_empty_data_folder_is_the_usual_one(monkeypatch):
    monkeypatch.delenv("CLIMRISK_DATA", raising=False)
    usual = data_folder(), cache_folder()
    monkeypatch.setenv("CLIMRISK_DATA", "")
    assert (data_folder(), cache_folder()) == usual


@pytest.mark.parametrize(
    "words",
    [
        ["exposure", "--file", "x" * 400, "--below", "5"],
        ["calendar", "--home", "x" * 400],
        ["region", "x" * 400, "--plant", "Masdevallia", "--at", "1,1"],
        ["region", "x" * 400 + ".nc", "--plant", "Masdevallia", "--out", "a.nc"],
        pytest.param(
            ["learn", "--file", "a.csv", "--against", "x" * 400, "--at", "1,1"],
            marks=pytest.mark.long,  # the list of stations is asked for again
        ),
        ["init", "x" * 400, "--demo"],
        ["init", "h.toml", "--file", "x" * 400, "--at", "1,1"],
        ["logger", "x" * 400],
        ["demo", "--out", "x" * 400],
    ],
    ids=lambda words: " ".join(w[:8] for w in words),
)
def test_a_name_that_is_too_long_is_an_input_error(
    tmp_path, monkeypatch, capsys, words
):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path))
    assert main(words) in (2, 3)
    assert capsys.readouterr().err.count("\n") == 1
