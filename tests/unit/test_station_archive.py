"""The real client against a server on loopback: every fault, and what survives it."""

from __future__ import annotations

import json
import multiprocessing
import os
import signal
import subprocess
import sys
import time
from datetime import UTC, datetime

import numpy as np
import pandas as pd
import pytest
from loopback_weather import FAULTS, LoopbackWeather, Station
from made_weather import synthetic

from climrisk.errors import InputError, WeatherUnavailable
from climrisk.weather.archive import Archive, StationYear
from climrisk.weather.choose import WeatherChoice, load_weather
from climrisk.weather.client import Client
from climrisk.weather.series import Origin
from climrisk.weather.station import Stations

NOW = datetime(2024, 6, 1, tzinfo=UTC)
#: So late that every archived year is asked for again.
LATER = datetime(2099, 6, 1, tzinfo=UTC)
YEARS = range(2020, 2023)
#: Every fault but a slow answer, which is no failure, and 404, which is an absence.
BREAKING = [f for f in FAULTS if f not in ("slow", "404")]


@pytest.fixture
def server():
    with LoopbackWeather.sample(years=YEARS, count=2, gap=0.01) as running:
        yield running


@pytest.fixture
def room(server, tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    with server.client(tmp_path / "client"):
        yield fresh_room()


def fresh_room(now=NOW):
    client = Client(tries=2, timeout_s=10, sleep=lambda seconds: None)
    return Stations(client=client, now=now)


def bytes_kept(room):
    return {p: p.read_bytes() for p in room.archive.folder.glob("*/*.climrisk")}


def test_hours_equal_the_servers_over_year_ends(room, server):
    weather = room.load(room.named("99001"), 2020, 2022)
    frame = server.stations["99001"].frame
    index = pd.DatetimeIndex(weather.time)
    want = frame.reindex(index)
    assert np.allclose(weather.air_temp_c[:, 0], want["temp"], equal_nan=True)
    wind = weather.values["wind_speed_m_s"][:, 0]
    assert np.allclose(wind, want["wspd"] / 3.6, equal_nan=True)
    cloud = weather.values["cloud_cover_frac"][:, 0]
    assert np.allclose(cloud, want["cldc"] / 8, equal_nan=True)
    assert np.isnan(weather.air_temp_c).sum() > 100  # the gaps stay gaps
    assert "CC BY 4.0" in weather.source.credit
    assert weather.source.measured_at == "station"


def test_second_load_asks_nothing_and_works_without_network(room, server):
    info = room.named("99001")
    first = room.load(info, 2020, 2022)
    asked = server.hits("/hourly/")
    assert np.array_equal(
        fresh_room().load(info, 2020, 2022).air_temp_c, first.air_temp_c, equal_nan=True
    )
    assert server.hits("/hourly/") == asked
    server.fail("/", "drop")
    later = fresh_room(LATER)
    old = later.load(info, 2020, 2022)
    assert np.array_equal(old.air_temp_c, first.air_temp_c, equal_nan=True)
    assert any("could not be asked again" in note for note in old.notes)


@pytest.mark.parametrize("kind", BREAKING)
def test_an_outage_is_no_absence_and_heals(room, server, kind):
    info = room.named("99001")
    server.fail("/hourly/2021/", kind)
    with pytest.raises(WeatherUnavailable) as caught:
        room.load(info, 2020, 2022)
    assert caught.value.exit_status == 3
    assert "2021" in caught.value.line()
    assert room.archive.read("99001", 2021) is None
    server.heal()
    assert room.load(info, 2020, 2022).seasons().growing_year[0] == 2019


@pytest.mark.parametrize("kind", [*BREAKING, "404"])
def test_a_failed_refresh_never_spoils_the_archive(room, server, kind):
    info = room.named("99001")
    room.load(info, 2020, 2022)
    before = bytes_kept(room)
    server.fail("/hourly/", kind)
    later = fresh_room(LATER)
    asked = server.hits("/hourly/")
    weather = later.load(info, 2020, 2022)
    assert server.hits("/hourly/") > asked
    assert bytes_kept(room) == before
    assert np.isfinite(weather.air_temp_c).sum() > 25_000


def test_slow_is_only_slow(room, server):
    server.fail("/hourly/2021/", "slow", delay=0.3)
    assert len(room.load(room.named("99001"), 2020, 2022)) > 26_000


def test_one_bad_answer_is_tried_again(room, server):
    server.fail("/hourly/2021/", "503", times=1)
    assert len(room.load(room.named("99001"), 2020, 2022)) > 26_000
    assert server.hits("/hourly/2021/99001") == 2


def test_an_absent_year_is_unknown_hours_with_a_note(room, server):
    server.fail("/hourly/2021/", "404")
    weather = room.load(room.named("99001"), 2020, 2022)
    year = weather.time.astype("datetime64[Y]").astype(int) + 1970
    assert np.isnan(weather.air_temp_c[year == 2021]).all()
    assert (weather.origin[year == 2021] == Origin.MISSING).all()
    assert any("2021: no file, although" in note for note in weather.notes)


@pytest.mark.parametrize("kind", [*BREAKING, "404"])
def test_station_list_outage(room, server, kind):
    server.fail("/stations.db", kind)
    with pytest.raises(WeatherUnavailable, match="station list"):
        room.near(48.2, 16.4, 200)
    server.heal()
    near = room.near(48.2, 16.4, 200)
    assert [s.id for s in near] == ["99001", "99002"]
    assert "km away" in near[0].reasons[0]
    # A week later the list is asked for again; a broken one leaves the good one.
    path = room.client.folder or next(iter([Archive().folder.parent]))
    old = time.time() - 30 * 86_400
    os.utime(path / "stations.db", (old, old))
    server.fail("/stations.db", kind)
    again = fresh_room()
    assert [s.id for s in again.near(48.2, 16.4, 200)] == ["99001", "99002"]
    assert "old" in again.client.notes[0]


def test_stations_known_to_have_nothing_are_the_users_error(room):
    with pytest.raises(InputError, match="no such station") as caught:
        room.named("00000")
    assert caught.value.exit_status == 2


def test_a_station_without_hours_is_refused(tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    empty = Station("77001", 48.0, 16.0, 100, frame=synthetic([2020])[["prcp"]])
    with LoopbackWeather([empty]) as server, server.client(tmp_path / "c"):
        with pytest.raises(InputError, match="no hourly temperatures") as caught:
            fresh_room().named("77001")
        assert caught.value.exit_status == 2
        assert fresh_room().near(48.0, 16.0, None) == []


def test_modeled_hours_are_told_apart_and_whole_degrees_noted(tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    frame = synthetic([2021])
    frame["temp"] = frame["temp"].round()
    station = Station("88001", 48.0, 16.0, 100, frame=frame, source="dwd_mosmix")
    with LoopbackWeather([station]) as server, server.client(tmp_path / "c"):
        weather = fresh_room().load(fresh_room().named("88001"), 2021, 2021)
    assert (weather.origin == Origin.MODELED).all()
    assert any("whole degrees" in note for note in weather.notes)


def test_hours_after_now_are_left_out(room):
    early = fresh_room(datetime(2021, 3, 1, 12, tzinfo=UTC))
    weather = early.load(room.named("99001"), 2020, 2022)
    assert weather.time[-1] <= np.datetime64("2021-03-01T12:00")


def a_year(value=10.0, hours=8760):
    temps = np.full(8760, np.nan)
    temps[:hours] = value
    flags = np.zeros(8760, np.int8)
    return StationYear("1", 2021, {"temp": temps}, ("isd_lite",), flags, "made")


def test_fewer_hours_never_replace_more(tmp_path):
    archive = Archive(tmp_path)
    archive.write(a_year(10.0))
    assert archive.write(a_year(11.0, hours=100)).columns["temp"][0] == 10.0
    assert archive.read("1", 2021).columns["temp"][0] == 10.0


def test_a_full_disk_leaves_the_old_file(tmp_path, monkeypatch):
    archive = Archive(tmp_path)
    archive.write(a_year(10.0))
    before = archive.path("1", 2021).read_bytes()

    def full(descriptor):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        archive.write(a_year(11.0))
    assert archive.path("1", 2021).read_bytes() == before
    assert [p.name for p in archive.path("1", 2021).parent.iterdir()] == [
        "2021.climrisk"
    ]


def test_damage_is_seen_set_aside_and_fetched_again(room, server):
    info = room.named("99001")
    room.load(info, 2020, 2020)
    path = room.archive.path("99001", 2020)
    data = bytearray(path.read_bytes())
    data[len(data) // 2] ^= 1
    path.write_bytes(bytes(data))
    assert [r["state"] for r in room.archive.listing()] == ["damaged"]
    weather = fresh_room().load(info, 2020, 2020)
    assert np.isfinite(weather.air_temp_c).sum() > 8_000
    assert path.with_suffix(".damaged").exists()
    assert room.archive.remove("99001") == 2


WRITER = """
import sys, numpy as np
from pathlib import Path
from climrisk.weather.archive import Archive, StationYear
archive = Archive(Path(sys.argv[1]))
print("ready", flush=True)
for i in range(100000):
    temps = np.full(8760, float(i))
    flags = np.zeros(8760, np.int8)
    one = StationYear("1", 2021, {"temp": temps}, ("x",), flags, "made")
    with archive.locked():
        archive.write(one)
"""


def test_kill_at_any_moment_leaves_a_whole_file(tmp_path):
    rng = np.random.default_rng(0)
    for _ in range(4):
        writer = subprocess.Popen(
            [sys.executable, "-c", WRITER, str(tmp_path)], stdout=subprocess.PIPE
        )
        assert writer.stdout.readline().strip() == b"ready"
        time.sleep(0.05 + 0.2 * rng.random())
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        archive = Archive(tmp_path)
        with archive.locked():  # the dead hold no lock
            kept = archive.read("1", 2021)
        assert kept is not None
        assert len(set(kept.columns["temp"])) == 1
        assert not list(tmp_path.glob("*/*.damaged"))


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
    kept = Archive(tmp_path).read("1", 2021)
    assert set(kept.columns["temp"]) <= {1.0, 2.0}
    assert len(set(kept.columns["temp"])) == 1


def test_chosen_by_place_and_by_id(room):
    choice = WeatherChoice(at=(48.2, 16.4, 200.0), as_of=NOW.date())
    weather = load_weather(choice)
    assert "99001" in weather.source.label
    by_id = load_weather(WeatherChoice(station="99002", as_of=NOW.date(), years=1))
    assert "99002" in by_id.source.label
    assert len(by_id) in (8760, 8784)


def test_no_network_and_nothing_archived_is_status_three(room, server, capsys):
    from climrisk.cli.main import main

    server.fail("/", "drop")
    status = main(["exposure", "--station", "99001", "--below", "5"])
    out, err = capsys.readouterr()
    assert status == 3
    assert out == ""
    assert "--demo" in err
    assert err.count("\n") == 1


def test_stations_command(room, server, capsys):
    from climrisk.cli.main import main

    assert main(["stations", "--at", "48.2,16.4,200", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["stations"]
    assert [r["id"] for r in rows] == ["99001", "99002"]
    room.load(room.named("99001"), 2020, 2021)
    assert main(["stations", "--archive", "--json"]) == 0
    kept = json.loads(capsys.readouterr().out)["archive"]
    assert [(r["year"], r["state"]) for r in kept] == [(2020, "good"), (2021, "good")]
    assert main(["stations", "--remove", "99001"]) == 0
    assert "Removed 2 files" in capsys.readouterr().out
    assert main(["stations", "--remove", "99001"]) == 2
