"""Damaged answers of the weather server: hours, an outage, or one clear error."""

from __future__ import annotations

import gzip
import itertools
from datetime import UTC, datetime, timedelta

import numpy as np
import pandas as pd
import pytest
from loopback_weather import LoopbackWeather

from climrisk.core.errors import ClimriskError
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.station import Stations
from tests.damage import fuzz
from tests.reliability.long_runs import repeats

NOW = datetime(2024, 6, 1, tzinfo=UTC)
HOURS = "/hourly/2021/99001.csv.gz"


@pytest.fixture(scope="module")
def made():
    sample = LoopbackWeather.sample(years=range(2021, 2022), count=2)
    sample.httpd.server_close()
    return list(sample.stations.values())


@pytest.fixture
def server(made, tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    with LoopbackWeather(made) as running, running.client(tmp_path / "client"):
        yield running


def stations():
    client = Client(tries=1, timeout_s=5, sleep=lambda seconds: None)
    return Stations(client=client, now=NOW)


def test_damaged_hours(server, counted):
    info = stations().named("99001")
    whole = gzip.decompress(server.stations["99001"].csv_gz(2021))
    head = b"\n".join(whole.split(b"\n")[:300]) + b"\n"
    packed = itertools.cycle([True, True, True, False])

    def read(path):
        data = path.read_bytes()
        # Three in four are damaged within, one in four as it is sent.
        server._files[HOURS] = gzip.compress(data, 1) if next(packed) else data
        room = stations()
        try:
            air = room.load(info, 2021, 2021).air_temp_c
        finally:
            room.archive.remove("99001")
        known = air[np.isfinite(air)]
        assert known.size > 0
        assert np.abs(known).max() < 100

    seeds = [head, head, gzip.compress(head)]
    tally = fuzz(seeds, read, repeats(40, 4000), seed=5, refusal=ClimriskError)
    counted(tally)
    assert tally.faults == []
    assert tally.read > 0
    assert tally.refused > 0


def test_a_station_list_with_text_that_is_none_is_fetched_anew(server, tmp_path):
    """The database is sound, but a date in it is not UTF-8."""
    good = server._body("/stations.db")
    assert b"-12-31" in good
    # Not in the first row of its table, which lies behind the others in the file.
    server._files["/stations.db"] = good.replace(b"-12-31", b"-12-\xff1", 1)
    with pytest.raises(ClimriskError, match="station list is damaged") as caught:
        list(map(stations().named, ("99001", "99002")))
    assert caught.value.exit_status == 3
    server._files["/stations.db"] = good
    assert stations().named("99001")


def test_damaged_station_lists(server, counted, tmp_path):
    good = server._body("/stations.db")

    def read(path):
        server._files["/stations.db"] = path.read_bytes()
        (tmp_path / "data" / "stations.db").unlink(missing_ok=True)
        room = stations()
        room.near(48.2, 16.4, 200.0)
        room.named("99001")

    tally = fuzz([good], read, repeats(40, 2000), seed=6, refusal=ClimriskError)
    counted(tally)
    assert tally.faults == []
    assert tally.refused > 0


def test_damaged_forecasts(server, counted):
    # The same damage in every run: a fixed forecast, whose days are set to the
    # coming ones only when it is sent, as the client drops hours that are past.
    good = server.forecast(pd.Timestamp("2024-06-01"))
    today = datetime.now(UTC).replace(hour=0, minute=0, second=0, microsecond=0)
    coming = [f"{today + timedelta(days=k):%Y-%m-%d}".encode() for k in range(10)]

    def read(path):
        data = path.read_bytes()
        for k, day in enumerate(coming, start=1):
            data = data.replace(b"2024-06-%02d" % k, day)
        # An answer of the forecast is made anew each time it is asked for.
        server._body = lambda _: data
        frame = stations().client.forecast(48.2, 16.4, 200.0, today)
        assert np.isfinite(frame["temp"]).any()

    tally = fuzz([good], read, repeats(40, 4000), seed=7, refusal=ClimriskError)
    counted(tally)
    assert tally.faults == []
    assert tally.read > 0
    assert tally.refused > 0
