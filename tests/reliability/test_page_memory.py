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


def paths(number):
    """Return the addresses of one round: pages, refusals, files, and an answer."""
    night = f"words={number % 20}.{number % 10},+clear&demo=true"
    return (
        "/start",
        "/healthz",
        f"/nowhere/{number}",
        "/static/page.css",
        f"/check?plant=no+such+{number}&demo=true",
        f"/tonight?{night}&plants=Masdevallia&as_of=2026-01-{1 + number % 28:02d}",
    )


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
                every = paths(number)
                answer = one.get(every[number % len(every)])
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
