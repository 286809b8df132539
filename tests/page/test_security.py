"""Who may ask the page, from where, and how much."""

from __future__ import annotations

import html
import json
import re

import pytest
from starlette.testclient import TestClient

from climrisk.core.errors import InputError
from climrisk.home import demo_home_text
from climrisk.web.app import make_app
from climrisk.web.app_state import AppState
from climrisk.web.job_queue import BusyError, JobQueue
from climrisk.web.serve import place
from climrisk.web.settings import MOST_UPLOAD_BYTES, Settings, keep_log, log_file

EVIL = "<script>alert(1)</script>{{ 7 * 7 }}"


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    """Return a client that starts no desk: for answers that need no work."""
    logs = tmp_path_factory.mktemp("logs")
    app = make_app(Settings(logs=logs, workers=0))
    with TestClient(app, base_url="http://127.0.0.1:8713") as one:
        one.follow_redirects = False
        yield one


@pytest.mark.parametrize(
    ("host", "status"),
    [
        ("127.0.0.1:8713", 200),
        ("localhost", 200),
        ("[::1]:8713", 200),
        ("evil.example", 400),
        ("127.0.0.1.evil.example", 400),
        ("192.168.1.5", 400),
        ("", 400),
        ("127.0.0.1@evil.example", 400),
    ],
)
def test_only_the_loopbacks_own_names_are_served(plain, host, status):
    assert plain.get("/healthz", headers={"host": host}).status_code == status


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({"sec-fetch-site": "cross-site"}, 403),
        ({"sec-fetch-site": "same-site"}, 403),
        ({"origin": "http://evil.example"}, 403),
        ({"origin": "null"}, 403),
        ({"origin": "http://127.0.0.1:9999"}, 403),
        ({"sec-fetch-site": "same-origin", "origin": "http://127.0.0.1:8713"}, 303),
        ({}, 303),
    ],
)
@pytest.mark.parametrize("path", ["/view", "/stop"])
def test_no_other_site_changes_anything(plain, path, headers, status):
    answer = plain.post(path, data={"back": "/check", "key": "x"}, headers=headers)
    assert answer.status_code == status
    if status == 403:
        assert "set-cookie" not in answer.headers


#: What browsers send with requests that a page of another site makes.
NAVIGATION = {"sec-fetch-mode": "navigate", "sec-fetch-dest": "document"}
LINK = {"sec-fetch-site": "cross-site", **NAVIGATION}
EMBEDDED = [
    {"sec-fetch-site": "cross-site", "sec-fetch-mode": "no-cors"},
    {"sec-fetch-site": "same-site", "sec-fetch-mode": "no-cors"},
    {"sec-fetch-site": "cross-site", "sec-fetch-mode": "cors"},
    {**LINK, "sec-fetch-dest": "iframe"},
    {**LINK, "sec-fetch-dest": "object"},
    {**LINK, "origin": "http://evil.example"},
    {"sec-fetch-site": "made up", "sec-fetch-mode": "no-cors"},
    {"origin": "http://evil.example"},
    {"origin": "http://[evil"},
]
OPENED = [LINK, LINK | {"sec-fetch-site": "same-site"}, {"referer": "http://x.example"}]
OWN = [
    {},
    {"sec-fetch-site": "none", **NAVIGATION},
    {"sec-fetch-site": "same-origin", "sec-fetch-mode": "cors"},
    {"referer": "http://127.0.0.1:8713/check"},
]
WORK = ["/check?plant=Masdevallia&home=demo", "/spots.json?plant=Vanda&demo=1"]


@pytest.fixture
def started(monkeypatch):
    """Return the list of the questions that reach the queue."""
    tasks = []

    def ask(self, task):
        tasks.append(task)
        raise BusyError("made for a test")

    monkeypatch.setattr(JobQueue, "submit", ask)
    return tasks


@pytest.mark.parametrize("path", [*WORK, "/zoom/check/x?plant=Vanda&demo=1"])
@pytest.mark.parametrize("headers", EMBEDDED, ids=str)
def test_what_another_site_embeds_is_refused_and_starts_nothing(
    plain, started, path, headers
):
    assert plain.get(path, headers=headers).status_code == 403
    assert started == []


@pytest.mark.parametrize("path", WORK)
@pytest.mark.parametrize("headers", OPENED, ids=str)
def test_a_page_that_another_site_opens_waits_for_a_click(
    plain, started, path, headers
):
    answer = plain.get(path, headers=headers)
    assert answer.status_code == 200
    assert started == []
    assert "default-src 'none'" in answer.headers["content-security-policy"]
    clicked = html.unescape(re.search(r'href="(/[^"]*)">Open', answer.text)[1])
    assert clicked == path
    plain.get(clicked, headers={"sec-fetch-site": "same-origin", **NAVIGATION})
    assert len(started) == 1


@pytest.mark.parametrize("headers", OWN, ids=str)
def test_the_readers_own_requests_are_worked_on(plain, started, headers):
    for path in WORK:
        plain.get(path, headers=headers)
    assert len(started) == len(WORK)


@pytest.mark.parametrize("path", ["//evil.example/", "/\\evil.example", '/"><b>'])
def test_the_click_leads_to_this_page(plain, path):
    answer = plain.get("http://127.0.0.1:8713" + path, headers=LINK)
    href = html.unescape(re.search(r'href="([^"]*)">Open', answer.text)[1])
    assert re.match(r"/[^/\\]", href)
    assert "<b>" not in answer.text


@pytest.mark.parametrize("path", ["/start", "/healthz", "/nowhere", "/static/page.css"])
def test_every_answer_carries_the_policy(plain, path):
    headers = plain.get(path).headers
    policy = headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy
    assert "*" not in policy
    assert headers["x-content-type-options"] == "nosniff"


def test_a_refusal_carries_the_policy_too(plain):
    refused = plain.get("/", headers={"host": "evil.example"})
    assert "default-src 'none'" in refused.headers["content-security-policy"]


def test_pages_hold_no_inline_script_style_or_handler(plain):
    text = plain.get("/start").text
    assert not re.search(r"<style|\sstyle=|\son\w+=|javascript:", text)
    for tag in re.findall(r"<script[^>]*>", text):
        assert 'src="/static/' in tag


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py",
        "/static/..%2f..%2fapp.py",
        "/static/%2e%2e/settings.py",
        "/static//etc/passwd",
        "/zoom/../check/x",
        "/zoom/check/..%2f..%2fx",
    ],
)
def test_no_path_leads_out_of_the_page(plain, path):
    answer = plain.get(path)
    assert answer.status_code in (404, 422)
    assert "import" not in answer.text
    assert "root:" not in answer.text


@pytest.mark.parametrize(
    "back",
    ["//evil.example", "http://evil.example", "/\\evil.example", "javascript:x", ""],
)
def test_no_way_back_leads_elsewhere(plain, back):
    answer = plain.post("/view", data={"back": back, "unit": "f"})
    assert answer.headers["location"] == "/"


def test_words_of_a_request_are_shown_escaped(plain):
    answer = plain.get("/check", params={"plant": EVIL, "spot": EVIL, "town": EVIL})
    assert "<script>alert" not in answer.text
    assert "49" not in answer.text.partition("<main")[2].partition("</form>")[0]
    assert "&lt;script&gt;" in answer.text


def test_too_much_is_refused_before_it_is_read(plain):
    big = b"x" * (MOST_UPLOAD_BYTES + 1)
    answer = plain.post("/logs", files={"file": ("a.csv", big)})
    assert answer.status_code == 413
    assert "default-src 'none'" in answer.headers["content-security-policy"]


@pytest.mark.parametrize(
    "name", ["../../evil.csv", "/etc/passwd", "C:\\x\\y.csv", "..", "", "a\x00b.csv"]
)
def test_a_file_lies_where_it_belongs_whatever_its_name(tmp_path, name):
    key = keep_log(tmp_path / "logs", name, b"time,t\n")
    stored = log_file(tmp_path / "logs", key)
    assert stored.parent.parent == tmp_path / "logs"
    assert stored.read_bytes() == b"time,t\n"
    assert [p for p in tmp_path.iterdir() if p.name != "logs"] == []


@pytest.mark.parametrize("key", ["..", "../logs", "0" * 16, "", "G" * 16])
def test_only_a_kept_file_is_read(tmp_path, key):
    keep_log(tmp_path, "a.csv", b"x")
    with pytest.raises(InputError, match="not stored"):
        log_file(tmp_path, key)


def test_beyond_this_machine_the_page_asks_for_its_token(tmp_path):
    where = place(listen="0.0.0.0", port=0)
    where.bound.close()
    token = where.settings.token
    assert token is not None
    assert len(token) >= 20
    assert token in where.url
    app = make_app(Settings(logs=tmp_path, workers=0, token=token, any_address=True))
    with TestClient(app, base_url="http://192.168.7.9:8713") as one:
        one.follow_redirects = False
        for path in ("/", "/start", "/healthz", "/check.json", "/static/page.css"):
            assert one.get(path).status_code == 401
        assert one.get("/start", params={"token": "wrong"}).status_code == 401
        assert one.post("/view", data={"unit": "f"}).status_code == 401
        assert one.get("/healthz", headers={"host": "evil.example"}).status_code == 400
        bearer = {"authorization": f"Bearer {token}"}
        assert one.get("/healthz", headers=bearer).status_code == 200
        first = one.get("/start", params={"token": token})
        assert first.status_code == 303
        assert token not in first.headers["location"]
        away = one.get("//elsewhere.example/", params={"token": token})
        assert not away.headers["location"].startswith("//")
        assert "HttpOnly" in first.headers["set-cookie"]
        assert one.get("/start").status_code == 200


def test_on_this_machine_alone_there_is_no_token_and_no_other_address():
    where = place(port=0)
    try:
        assert where.address == "127.0.0.1"
        assert where.settings.token is None
        assert where.bound.getsockname()[0] == "127.0.0.1"
    finally:
        where.bound.close()


@pytest.mark.parametrize("listen", ["everywhere", "256.1.1.1", "example.org"])
def test_a_wrong_address_is_one_line(listen):
    with pytest.raises(InputError, match="listen"):
        place(listen=listen, port=0)


def test_a_served_page_says_where_it_is_and_nothing_about_the_home(tmp_path):
    import subprocess
    import sys

    import httpx2

    home = tmp_path / "home.toml"
    secret = "Orchid cellar of nobody"
    text = demo_home_text().replace("A flat in Veladrag", secret)
    home.write_text(text, "utf-8")
    command = [sys.executable, "-m", "climrisk", "serve", "--no-open", "--port", "0"]
    with subprocess.Popen(
        [*command, "--home", str(home)],
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    ) as page:
        try:
            first = page.stdout.readline()
            url = re.search(r"http://127\.0\.0\.1:\d+/", first)[0]
            query = {"plant": "Secretplant", "spot": "balcony", "risk": "7"}
            answer = httpx2.get(url + "check.json", params=query, timeout=60)
            assert answer.status_code == 422
            assert httpx2.get(url + "nowhere/cellar").status_code == 404
            assert secret in httpx2.get(url + "settings").text
        finally:
            page.terminate()
            rest = page.stdout.read()
    for word in (secret, "Secretplant", "balcony", "cellar", str(home), "GET"):
        assert word not in first + rest


def test_the_usual_port_is_kept_and_another_taken_where_it_is_not_free():
    first = place()
    first.bound.listen()
    second = place()
    second.bound.listen()
    try:
        assert second.port != first.port
        with pytest.raises(InputError, match="cannot listen"):
            place(port=second.port)
    finally:
        first.bound.close()
        second.bound.close()


def test_preferences_are_kept_and_nothing_else(plain):
    answer = plain.post("/view", data={"unit": "f", "dates": "ymd", "theme": EVIL})
    assert "climrisk_view=f.ymd.auto" in answer.headers["set-cookie"]
    assert json.dumps(EVIL) not in answer.headers["set-cookie"]


@pytest.mark.parametrize(
    ("line", "wanted"),
    [
        ("a question (/tmp/x-1/logs/ab/shelf 1.csv)", "a question (shelf 1.csv)"),
        (r"wrong (C:\Users\Ana\home.toml, line 3)", "wrong (home.toml, line 3)"),
        (
            "see /openapi.json, 3 m/s and 3.5 K/km",
            "see /openapi.json, 3 m/s and 3.5 K/km",
        ),
    ],
)
def test_an_error_is_said_in_the_pages_words(line, wanted):
    assert AppState(Settings(), JobQueue(workers=0)).public_text(line) == wanted


@pytest.mark.parametrize(
    "folder",
    ["balcony-of-Ana", "Ana's plants, balcony: (old)", "Орхидеи 2", "deep " * 30],
)
def test_an_error_shows_no_folder(tmp_path, folder):
    home = tmp_path / folder / "home.toml"
    home.parent.mkdir()
    home.write_text("[weather]\ndemo = true\nzone = 'Mars/Base'\n", "utf-8")
    app = make_app(Settings(home=home, logs=tmp_path / "logs", workers=0))
    with TestClient(app, base_url="http://127.0.0.1:8713") as one:
        error = InputError("wrong", where=f"{home}, line 3", value=home).line()
        state = AppState(Settings(home=home), JobQueue(workers=0))
        assert str(tmp_path) not in state.public_text(error)
        response = one.post(
            "/home", data={"do": "add-spot", "name": "a", "kind": "shelf"}
        )
        assert response.status_code == 422
        assert "home.toml, line 3" in html.unescape(response.text)
        assert str(tmp_path) not in html.unescape(response.text)
        assert folder not in html.unescape(response.text)
