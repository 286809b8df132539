"""The page's memory does not grow with the number of requests."""

from __future__ import annotations

import multiprocessing
import sys
from pathlib import Path

import httpx2
import pytest

from climrisk.web.settings import Settings
from tests.page.conftest import served

pytestmark = [
    pytest.mark.long,
    pytest.mark.skipif(sys.platform != "linux", reason="reads /proc"),
]
WARM, REQUESTS, MOST_MB = 600, 2400, 40


def _serve(folder, pipe):
    with served(Settings(home=None, logs=folder, workers=1)) as url:
        pipe.send(url)
        pipe.recv()


def resident_mb(pid):
    text = Path(f"/proc/{pid}/status").read_text()
    return int(text.split("VmRSS:")[1].split()[0]) / 1024


def path(number):
    """Return one address after the other; each thirtieth has to be worked out."""
    night = f"words={number % 19},+clear&demo=true&as_of=2026-01-{1 + number % 28:02d}"
    if number % 30 == 0:
        return f"/tonight.json?{night}&plants=Masdevallia"
    every = (
        f"/start?town={number}",
        "/healthz",
        f"/nowhere/{number}",
        "/static/page.css",
        f"/check.json?plant=Vanda&risk={number}",
    )
    return every[number % len(every)]


def test_memory_is_stable(tmp_path, counted):
    processes = multiprocessing.get_context("spawn")
    ours, theirs = processes.Pipe()
    # Not a daemon: it has a worker process of its own.
    page = processes.Process(target=_serve, args=(tmp_path, theirs))
    page.start()
    used = {}
    try:
        with httpx2.Client(base_url=ours.recv(), timeout=180) as one:
            for number in range(REQUESTS):
                if number == WARM:
                    used["warm"] = resident_mb(page.pid)
                answer = one.get(path(number))
                assert answer.status_code in (200, 404, 422)
        used["end"] = resident_mb(page.pid)
    finally:
        ours.send("stop")
        page.join(30)
        page.kill()
    counted(
        f"{REQUESTS:,} requests: {used['warm']:.0f} MB after {WARM}, "
        f"{used['end']:.0f} MB at the end"
    )
    assert used["end"] - used["warm"] < MOST_MB
