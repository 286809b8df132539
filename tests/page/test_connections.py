"""Many connections, slow ones and half-open ones do not block the page."""

from __future__ import annotations

import asyncio
import socket
import threading
from contextlib import ExitStack
from urllib.parse import urlsplit

import httpx2
import pytest

from climrisk.web import connections
from climrisk.web.settings import Settings
from tests.page.conftest import served, served_app

HALF = b"GET /healthz HTTP/1.1\r\nHost: 127.0.0.1\r\n"
BODY = b"POST /view HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 99\r\n\r\n"


@pytest.fixture
def opened():
    """Return a function that opens connections and sends some bytes on each."""
    with ExitStack() as stack:

        def go(url, count, sent):
            where = urlsplit(url)
            made = []
            for _ in range(count):
                one = socket.create_connection((where.hostname, where.port), 30)
                made.append(stack.enter_context(one))
                one.sendall(sent)
            return made

        yield go


@pytest.mark.parametrize("sent", [b"", HALF, BODY], ids=["none", "half", "body"])
@pytest.mark.parametrize("token", [None, "a-token"])
def test_connections_without_a_whole_request_never_block_the_page(
    tmp_path, opened, token, sent
):
    with served(Settings(logs=tmp_path, workers=0, token=token)) as url:
        opened(url, 210, sent)
        right = {"authorization": f"Bearer {token}"}
        answer = httpx2.get(url + "/healthz", headers=right, timeout=30)
        assert answer.status_code == 200


def _closed(one, drip):
    """Go on sending single bytes until the other end closes."""
    one.settimeout(0.05)
    while True:
        try:
            one.sendall(drip)
            if one.recv(4096) == b"":
                return True
        except TimeoutError:
            continue
        except OSError:
            return True


@pytest.mark.parametrize(
    ("begun", "drip"),
    [(b"", b"\r\n"), (HALF, b"X-A: b\r\n"), (BODY, b"x")],
    ids=["nothing", "header", "body"],
)
def test_a_request_that_never_ends_is_cut_off(monkeypatch, opened, begun, drip):
    monkeypatch.setattr(connections, "HEADER_S", 0.3)
    monkeypatch.setattr(connections, "BODY_S", 0.3)
    with served_app(_whole_bodies) as url:
        (one,) = opened(url, 1, begun)
        assert _closed(one, drip)


def test_a_second_request_has_a_deadline_too(monkeypatch, opened):
    monkeypatch.setattr(connections, "HEADER_S", 0.3)
    with served_app(_whole_bodies) as url:
        (one,) = opened(url, 1, HALF + b"\r\n" + HALF)
        assert _closed(one, b"X-A: b\r\n")


def test_a_request_that_is_worked_on_keeps_its_place(opened):
    busy, done = threading.Event(), threading.Event()

    async def slow(scope, receive, send):
        if scope["path"] == "/slow":
            busy.set()
            await asyncio.to_thread(done.wait, 60)
        await _whole_bodies(scope, receive, send)

    with served_app(slow) as url:
        answers = []
        thread = threading.Thread(
            target=lambda: answers.append(httpx2.get(url + "/slow", timeout=60).text)
        )
        thread.start()
        busy.wait(30)
        opened(url, 300, HALF)
        assert httpx2.get(url + "/other", timeout=30).text == "ok"
        done.set()
        thread.join(60)
    assert answers == ["ok"]


async def _whole_bodies(scope, receive, send):
    """Answer once the body is there."""
    if scope["type"] != "http":
        while (message := await receive())["type"] != "lifespan.shutdown":
            await send({"type": message["type"] + ".complete"})
        await send({"type": "lifespan.shutdown.complete"})
        return
    while (await receive()).get("more_body"):
        pass
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"ok"})
