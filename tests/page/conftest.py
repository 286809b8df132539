"""A page that is really served, on the loopback, for all tests of it."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
import time

import pytest
import uvicorn

from climrisk.web.app import make_app
from climrisk.web.connections import server_config
from climrisk.web.settings import Settings

#: Days and numbers are the same on any day.
TODAY = "2026-11-25"


def served(settings):
    """Serve the page on a free port and give the address."""
    return served_app(make_app(settings))


@contextlib.contextmanager
def served_app(app):
    """Serve an application as the page is served."""
    bound = socket.socket()
    bound.bind(("127.0.0.1", 0))
    server = uvicorn.Server(server_config(app))
    thread = threading.Thread(
        target=server.run, kwargs={"sockets": [bound]}, daemon=True
    )
    thread.start()
    while not server.started and thread.is_alive():
        time.sleep(0.01)
    try:
        yield f"http://127.0.0.1:{bound.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(15)


def served_demo(logs):
    """Serve the sample home; one process computes, as two processors are shared."""
    return served(Settings(demo=True, logs=logs, workers=1))


@contextlib.contextmanager
def served_home(folder, text):
    """Serve a home of one's own; give the address, and what makes it as it was.

    Its file has the same time then as well, so that an answer is found again.
    """
    home, before = folder / "home.toml", 1_750_000_000

    def anew():
        home.write_text(text, "utf-8")
        os.utime(home, (before, before))
        return home

    anew()
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("CLIMRISK_DATA", str(folder / "data"))
        with served(Settings(home=home, logs=folder / "logs", workers=1)) as url:
            yield url, anew


@pytest.fixture(scope="session")
def page_url(tmp_path_factory):
    """Return the address of a page without a home."""
    logs = tmp_path_factory.mktemp("logs")
    with served(Settings(logs=logs, workers=1)) as url:
        yield url


@pytest.fixture(scope="session")
def client(page_url):
    """Return a client of that page."""
    import httpx2

    with httpx2.Client(base_url=page_url, timeout=120) as one:
        yield one
