"""The first run without set-up: a place, a fetch that tells, a home that is kept."""

from __future__ import annotations

import json
import re
import subprocess
import sys
import tomllib

import httpx2
import pytest
from loopback_weather import LoopbackWeather

from climrisk.web.settings import Settings
from tests.page.conftest import served

PLACE = {"at": "48.2,16.4,200", "from": "2019-07-01", "to": "2023-06-30"}


@pytest.fixture
def first_run(tmp_path, monkeypatch):
    """Serve a page whose worker processes reach an archive on the loopback alone."""
    with LoopbackWeather.sample(years=range(2019, 2024), count=2) as archive:
        for name, value in archive.env(tmp_path / "client").items():
            monkeypatch.setenv(name, value)
        monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
        home = tmp_path / "data" / "home.toml"
        with served(Settings(home=home, logs=tmp_path / "logs", workers=1)) as url:
            yield archive, url, home


def test_without_anything_the_page_asks_where_the_plants_stand(first_run):
    _, url, _ = first_run
    with httpx2.Client(base_url=url, follow_redirects=True) as page:
        for path in ("/", "/year", "/winter", "/plants"):
            answer = page.get(path)
            assert answer.url.path == "/start"
            assert "Where are your plants?" in answer.text


def test_a_fetch_says_what_it_does_and_the_place_becomes_a_home(first_run):
    archive, url, home = first_run
    archive.fail("/hourly/", "slow", times=None, delay=0.6)
    said = set()
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/weather", params=PLACE)
        while "Working on it" in answer.text:
            said.add(re.search(r"Working on it</strong>: ([^(]+)", answer.text)[1])
            answer = page.get("/weather", params=PLACE)
        assert answer.status_code == 200, answer.text
        assert any(words.startswith("fetching Loop 99001, 20") for words in said)
        assert "Keep this as my home" in answer.text
        assert "Loop 99001" in answer.text
        near = page.get("/stations.json", params={"at": PLACE["at"]}).json()
        assert [s["id"] for s in near["stations"]] == ["99001", "99002"]
        command = [sys.executable, "-m", "climrisk", "stations", "--at", PLACE["at"]]
        printed = subprocess.run([*command, "--json"], capture_output=True, check=True)
        told = json.loads(printed.stdout)
        # The page's own address is the question; the command's is in the document.
        assert told["provenance"]["arguments"]["at"] == PLACE["at"]
        told["provenance"]["arguments"] = None
        assert near == told
        sent = page.post("/home", data={"do": "begin", "at": PLACE["at"]})
        assert sent.headers["location"] == "/plants"
        assert tomllib.loads(home.read_text("utf-8"))["weather"]["at"] == PLACE["at"]
        archive.heal()
        fetched = archive.hits("/hourly/2020/99001")
        assert page.get("/weather.json", params={"years": 3}).status_code == 200
        # What was fetched once is kept: the archive is not asked again.
        assert archive.hits("/hourly/2020/99001") == fetched


def test_a_slow_fetch_is_stopped_at_once(first_run):
    archive, url, _ = first_run
    archive.fail("/hourly/", "slow", times=None, delay=8)
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/weather", params=PLACE)
        while "fetching" not in answer.text:
            answer = page.get("/weather", params=PLACE)
        key = re.search(r'name="key" value="(\w+)"', answer.text)[1]
        back = str(answer.url).removeprefix(url)
        stopped = page.post("/stop", data={"key": key, "back": back})
        assert stopped.status_code == 303
        after = page.get(stopped.headers["location"])
        assert "Stopped; nothing was changed" in after.text
        archive.heal()
        assert page.get("/healthz").json()["status"] == "ok"


def test_an_outage_is_said_in_one_line_and_nothing_is_made_up(first_run):
    archive, url, _ = first_run
    archive.fail("/", "503", times=None)
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/weather.json", params=PLACE)
    assert answer.status_code == 503
    assert answer.json()["exit_status"] == 3
    assert "\n" not in answer.json()["error"]
