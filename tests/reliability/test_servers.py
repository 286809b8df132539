"""A weather server that dribbles, floods or sends nothing of use ends in good time."""

from __future__ import annotations

import contextlib
import gzip
import itertools
import json
import threading
import time
from datetime import UTC, datetime

import pytest
from loopback_weather import LoopbackWeather

from climrisk.core.errors import WeatherUnavailableError
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.limited_http import DownloadLimit
from climrisk.weather.stations.station import Stations

NOW = datetime(2024, 6, 1, tzinfo=UTC)
SMALL = DownloadLimit(seconds=1.0, size=2_000_000, unpacked_size=20_000_000)
#: What the server may have sent before it noticed: the buffers of both ends.
BUFFERS = 20_000_000


@pytest.fixture(scope="module")
def made():
    sample = LoopbackWeather.sample(years=range(2021, 2023), count=2)
    sample.httpd.server_close()
    return list(sample.stations.values()), {}


class Server(LoopbackWeather):  # type: ignore[misc]
    """The loopback server with answers of any kind; counts what it sends."""

    def __init__(self, stations):
        super().__init__(stations)
        self.answers, self.sent = {}, 0

    def _answer(self, request):
        for path, answer in self.answers.items():
            if path in request.path:
                self.log.append(request.path)
                # A client that has gone away is no fault of the server.
                with contextlib.suppress(OSError):
                    answer(request)
                return None
        return super()._answer(request)

    def send(self, request, data):
        self.sent += len(data)
        request.wfile.write(data)
        request.wfile.flush()


@pytest.fixture
def server(made):
    stations, files = made
    with Server(stations) as running:
        running._files = files
        yield running


@pytest.fixture
def room(server, tmp_path, monkeypatch):
    monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")
    with server.client(tmp_path / "client"):
        client = Client(
            tries=2,
            timeout_s=5,
            limit=SMALL,
            list_limit=SMALL,
            sleep=lambda seconds: None,
        )
        yield Stations(client=client, now=NOW)


def begin(request, **headers):
    request.send_response(200)
    for name, value in headers.items():
        request.send_header(name.replace("_", "-"), value)
    request.end_headers()


def dribble(server):
    """Send a byte now and then, for ever."""

    def answer(request):
        begin(request, Content_Length="1000000")
        while True:
            server.send(request, b"x")
            time.sleep(0.2)

    return answer


def dribble_headers(server):
    def answer(request):
        for i in itertools.count():
            server.send(request, b"HTTP/1.1 200 OK\r\n" if i == 0 else b"X: y\r\n")
            time.sleep(0.2)

    return answer


def flood(server):
    """Send without end."""

    def answer(request):
        begin(request)
        while True:
            server.send(request, bytes(100_000))

    return answer


def chunked_flood(server):
    def answer(request):
        request.protocol_version = "HTTP/1.1"
        begin(request, Transfer_Encoding="chunked")
        while True:
            server.send(request, b"186A0\r\n" + bytes(100_000) + b"\r\n")

    return answer


def bomb(server):
    """Send a small file that unpacks to a large one."""
    data = gzip.compress(b"2021,1,1,0,5\n" * 8_000_000, 1)
    assert len(data) < SMALL.size

    def answer(request):
        begin(request, Content_Length=str(len(data)))
        server.send(request, data)

    return answer


def encoded_bomb(server):
    data = gzip.compress(b" " * 300_000_000, 1)

    def answer(request):
        begin(request, Content_Length=str(len(data)), Content_Encoding="gzip")
        server.send(request, data)

    return answer


FLOODS = [dribble, dribble_headers, flood, chunked_flood]


@pytest.mark.parametrize("kind", [*FLOODS, bomb])
@pytest.mark.long
def test_a_year_ends_within_its_limits(room, server, kind):
    server.answers["/hourly/"] = kind(server)
    with pytest.raises(WeatherUnavailableError) as error:
        room.client.station_year("99001", 2021)
    assert any(
        words in str(error.value)
        for words in ("no complete answer within 1 s", "more than 2 MB", "unpacks to")
    )
    assert server.sent < BUFFERS
    # The lock is free, and the next request is as good as ever.
    server.answers.clear()
    with room.archive.locked():
        assert room.client.station_year("99001", 2021).known_hours > 8000


@pytest.mark.parametrize("kind", [*FLOODS, encoded_bomb])
def test_a_forecast_ends_within_its_limits(room, server, kind):
    server.answers["/metno"] = kind(server)
    with pytest.raises(WeatherUnavailableError):
        room.client.forecast(48.2, 16.4, 200.0, datetime.now(UTC))
    assert server.sent < BUFFERS
    server.answers.clear()
    frame = room.client.forecast(48.2, 16.4, 200.0, datetime.now(UTC))
    assert len(frame) > 24


@pytest.mark.parametrize("kind", FLOODS)
@pytest.mark.long
def test_the_station_list_ends_within_its_limits(room, server, kind, tmp_path):
    server.answers["/stations.db"] = kind(server)
    with pytest.raises(WeatherUnavailableError, match="station list"):
        room.named("99001")
    assert server.sent < BUFFERS
    assert not list((tmp_path / "data").glob("stations*"))
    server.answers.clear()
    assert room.named("99001").id == "99001"


def test_redirections_without_end(room, server):
    def answer(request):
        request.send_response(302)
        request.send_header("Location", f"{request.path}x")
        request.end_headers()

    server.answers["/hourly/"] = answer
    with pytest.raises(WeatherUnavailableError):
        room.client.station_year("99001", 2021)
    assert len(server.log) < 50


def test_other_threads_keep_their_own_answers(room, server):
    """A large answer to someone else is not cut while a fetch is going on."""
    import urllib.request

    def large(request):
        begin(request, Content_Length="5000000")
        request.wfile.write(bytes(5_000_000))

    started, sizes = threading.Event(), []

    def slow(request):
        started.set()
        thread.join(20)
        begin(request, Content_Length="0")

    def other():
        started.wait(20)
        with urllib.request.urlopen(f"{server.url}/large") as found:
            sizes.append(len(found.read()))

    server.answers |= {"/large": large, "/hourly/": slow}
    thread = threading.Thread(target=other)
    thread.start()
    with pytest.raises(WeatherUnavailableError):
        room.client.station_year("99001", 2021)
    thread.join()
    assert sizes == [5_000_000]


def test_the_usual_limits_leave_room(made):
    """A year, a forecast and a list as they are take a small part of the limits."""
    stations, _ = made
    server = LoopbackWeather(stations)
    server.httpd.server_close()
    limits = Client()
    assert len(stations[0].csv_gz(2021)) * 10 < limits.limit.size
    assert len(json.dumps(server._body("/metno").decode())) * 10 < limits.limit.size
    assert limits.list_limit.size > 10 * 25_000_000
