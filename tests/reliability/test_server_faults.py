"""Every fault of the weather server, met by several processes at once."""

from __future__ import annotations

import hashlib
import os
from datetime import UTC, datetime

import pytest
from loopback_weather import FAULTS, LoopbackWeather

from climrisk.core.errors import ClimriskError
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.station import Stations
from tests.reliability.kills import fork_server
from tests.reliability.long_runs import LONG

pytestmark = pytest.mark.long

NOW = datetime(2024, 6, 1, tzinfo=UTC)
#: So late that every archived year is asked for again.
LATER = datetime(2099, 6, 1, tzinfo=UTC)
KINDS = FAULTS if LONG else ["truncate", "404"]


@pytest.fixture(scope="module")
def made():
    sample = LoopbackWeather.sample(years=range(2021, 2023), count=1)
    sample.httpd.server_close()
    return list(sample.stations.values()), {}


@pytest.fixture(scope="module")
def processes():
    return fork_server(__name__, "pandas")


def load(pipe, environment, now):
    """Load two years and send a checksum of the hours, or the exit status."""
    os.environ.update(environment)
    client = Client(tries=2, timeout_s=2, sleep=lambda seconds: None)
    room = Stations(client=client, now=now)
    try:
        hours = room.load(room.named("99001"), 2021, 2022)
    except ClimriskError as error:
        pipe.send(error.exit_status)
    else:
        pipe.send(hashlib.sha256(hours.air_temp_c.tobytes()).hexdigest())


def all_at_once(processes, count, environment, now):
    """Return what so many processes that begin together have sent."""
    pipes, workers = [], []
    for _ in range(count):
        ours, theirs = processes.Pipe(duplex=False)
        worker = processes.Process(
            target=load, args=(theirs, environment, now), daemon=True
        )
        worker.start()
        theirs.close()
        pipes.append(ours)
        workers.append(worker)
    try:
        assert all(ours.poll(180) for ours in pipes)
        return {ours.recv() for ours in pipes}
    finally:
        for worker in workers:
            worker.join(30)
            worker.kill()


@pytest.mark.parametrize("count", [2, 8] if LONG else [2])
def test_an_empty_and_a_full_archive(made, processes, tmp_path, count, counted):
    stations, files = made
    rounds = 0
    for kind in KINDS:
        folder = tmp_path / f"{rounds}"
        rounds += 1
        with LoopbackWeather(stations) as server:
            server._files = dict(files)
            environment = server.env(folder / "client") | {
                "CLIMRISK_DATA": str(folder / "data"),
                "NO_PROXY": "127.0.0.1",
            }
            server.fail("/hourly/", kind, delay=0.05)
            empty = all_at_once(processes, count, environment, NOW)
            server.heal()
            if kind == "slow":
                assert len(empty) == 1
            else:
                # An outage is 3; a server that has no such file is no outage.
                assert empty == {2 if kind == "404" else 3}, kind
            # The day after an absence the server is asked again.
            whole = all_at_once(processes, count, environment, NOW.replace(day=3))
            assert len(whole) == 1
            assert isinstance(next(iter(whole)), str)
            archive = Archive(folder / "data" / "archive")
            server.fail("/", kind, delay=0.05)
            assert all_at_once(processes, count, environment, LATER) == whole, kind
            assert all(row["state"] == "good" for row in archive.listing())
            assert not list(archive.folder.glob("*/.climrisk-*"))
            files.update(server._files)
    counted(
        f"{rounds} faults, each with an empty and a full archive, {count} processes"
    )
