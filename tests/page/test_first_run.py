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
            assert "Where do your plants live?" in answer.text


@pytest.mark.long
def test_a_fetch_says_what_it_does_and_the_place_becomes_a_home(first_run):
    archive, url, home = first_run
    archive.fail("/hourly/", "slow", times=None, delay=0.6)
    said = set()
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/weather", params=PLACE)
        while 'class="card progress working"' in answer.text:
            said.add(re.search(r'<div class="step"><p>([^<]+)', answer.text)[1])
            # One calm bar: as long as the part that is done, once steps are counted.
            step = re.search(r"\(year (\d+) of (\d+)\)", answer.text)
            if step:
                share = (int(step[1]) - 1) / int(step[2])
                assert f'<progress value="{share:.3f}" max="1"' in answer.text
            answer = page.get("/weather", params=PLACE)
        assert answer.status_code == 200, answer.text
        assert any(words.startswith("Fetching Loop 99001, 20") for words in said)
        # Not every year is shown: an answer is waited for a little before it is said.
        assert any(re.search(r"year [2-9] of \d", words) for words in said)
        assert "Keep this as my home" in answer.text
        assert "Loop 99001" in answer.text
        near = page.get("/stations.json", params={"at": PLACE["at"]}).json()
        assert [s["id"] for s in near["stations"]] == ["99001", "99002"]
        command = [sys.executable, "-m", "climrisk", "stations", "--at", PLACE["at"]]
        printed = subprocess.run([*command, "--json"], capture_output=True, check=True)
        result = json.loads(printed.stdout)
        # The page's own address is the question; the command's is in the document.
        assert result["provenance"]["arguments"]["at"] == PLACE["at"]
        result["provenance"]["arguments"] = None
        assert near == result
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
        while "Fetching" not in answer.text:
            answer = page.get("/weather", params=PLACE)
        key = re.search(r'name="key" value="(\w+)"', answer.text)[1]
        back = str(answer.url).removeprefix(url)
        stopped = page.post("/stop", data={"key": key, "back": back})
        assert stopped.status_code == 303
        after = page.get(stopped.headers["location"])
        assert "Stopped; nothing was changed" in after.text
        archive.heal()
        assert page.get("/healthz").json()["status"] == "ok"


@pytest.mark.long
def test_an_outage_is_said_in_one_line_and_nothing_is_made_up(first_run):
    archive, url, _ = first_run
    archive.fail("/", "503", times=None)
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/weather.json", params=PLACE)
    assert answer.status_code == 503
    assert answer.json()["exit_status"] == 3
    assert "\n" not in answer.json()["error"]


def test_a_town_becomes_a_home_in_a_few_taps(first_run):
    """Typed, chosen, its station read in one sentence, used: an answer follows."""
    _, url, home = first_run
    with httpx2.Client(base_url=url, timeout=60, follow_redirects=True) as page:
        offered = page.get("/towns", params={"town": "Vienn"}).text
        assert re.findall(r'value="([^"]+)"', offered)[0] == "Vienna,AT"
        answer = page.get("/start/station", params={"place": "Vienna,AT"})
        while 'class="card progress working"' in answer.text:
            answer = page.get(str(answer.url))
        said = re.search(r'<p class="lead">(.*?)</p>', answer.text, re.S)[1]
        said = re.sub(r"<[^>]+>", "", said)
        # One sentence: which station, how far, how high, since when.
        assert re.fullmatch(
            r"The best station is Loop 9900\d, \d+ km away, \d+ m above the sea, with "
            r"hourly records since \d{4}\.",
            said,
        ), said
        sent = page.post(
            "/home",
            data={
                "do": "begin",
                "town": "Vienna,AT",
                "name": "Flat",
                "kind": "wall-shelf",
                "back": "/plants",
            },
        )
        assert sent.url.path == "/plants"
    result = tomllib.loads(home.read_text("utf-8"))
    assert (result["name"], result["weather"]) == ("Flat", {"town": "Vienna,AT"})
    assert [s["kind"] for s in result["spot"]] == ["wall-shelf"]
    # No room was asked for, so none is added.
    assert "room" not in result


def test_an_outage_offers_ways_forward_and_keeps_the_town(first_run):
    archive, url, _ = first_run
    archive.fail("/", "503", times=None)
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/start/station", params={"town": "Zadar"})
        while 'class="card progress working"' in answer.text:
            answer = page.get(str(answer.url))
    assert answer.status_code == 503
    assert "The weather service cannot be reached. Check the connection" in answer.text
    assert 'href="/start?town=Zadar"' in answer.text
    assert 'href="/plants?home=demo"' in answer.text


def test_a_town_of_several_places_is_asked_about_and_kept(first_run):
    _, url, _ = first_run
    with httpx2.Client(base_url=url, timeout=60) as page:
        answer = page.get("/start/station", params={"town": "Springfield"})
    assert answer.status_code == 422
    assert 'value="Springfield" required' in answer.text
    assert "Springfield <span" in answer.text
    assert "Missouri, United States" in answer.text
