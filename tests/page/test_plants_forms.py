"""Forms of My plants without a browser: other sites, entries that stay, own words."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from climrisk.home import demo_home_text, read_home
from climrisk.home.model import references
from climrisk.web.app import make_app
from climrisk.web.plants_forms import meaning, own_word
from climrisk.web.settings import Settings

POSTS = {
    "/plants": {"remove": "ROW"},
    "/plants/add": {"name": "Masdevallia", "spot": "shelf"},
    "/plants/edit": {"row": "ROW", "name": "Masdevallia"},
    "/plants/move": {"row": "ROW", "spot": "walkway", "how": "place"},
    "/plants/carry": {"row": "ROW", "way": "in", "to": "sill"},
    "/plants/paste": {"list": "Masdevallia, shelf", "add": "yes"},
    "/plants/spot": {"kind": "open-rail", "name": "rail"},
    "/plants/spots": {"called": "walkway", "to": "shelf"},
}


@pytest.fixture
def own(tmp_path):
    home = tmp_path / "home.toml"
    home.write_text(demo_home_text(), "utf-8")
    settings = Settings(home=home, logs=tmp_path / "logs", workers=0)
    with TestClient(make_app(settings), base_url="http://127.0.0.1") as one:
        one.follow_redirects = False
        yield one, home


def filled(form, home):
    ref = references(read_home(home).plant)[0]
    return {key: ref if value == "ROW" else value for key, value in form.items()}


@pytest.mark.parametrize("path", POSTS)
def test_a_form_changes_the_home_and_can_be_taken_back(own, path):
    page, home = own
    before = home.read_text("utf-8")
    answer = page.post(path, data=filled(POSTS[path], home))
    assert answer.status_code == 303, answer.text
    assert home.read_text("utf-8") != before
    name = answer.headers["location"].split("changed=")[1]
    undone = page.post("/home", data={"do": "undo", "change": name})
    assert undone.status_code == 303
    assert home.read_text("utf-8") == before


@pytest.mark.parametrize("path", POSTS)
@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.example"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Referer": "http://elsewhere.example/form"},
    ],
    ids=lambda h: next(iter(h)),
)
def test_another_site_changes_nothing(own, path, headers):
    page, home = own
    before = home.read_text("utf-8")
    answer = page.post(path, data=filled(POSTS[path], home), headers=headers)
    assert answer.status_code == 403
    assert home.read_text("utf-8") == before


@pytest.mark.parametrize(
    ("path", "form", "stored"),
    [
        ("/plants/add", {"name": "qwertz uiop", "spot": "shelf"}, "qwertz uiop"),
        ("/plants/add", {"name": "Masdevallia", "spot": "moon"}, "Masdevallia"),
        (
            "/plants/add",
            {"name": "Clivia", "spot": "shelf", "pot_diameter_cm": "wide"},
            "wide",
        ),
        ("/plants/paste", {"list": "blu vanda", "add": "yes"}, "blu vanda"),
        ("/plants/spot", {"kind": "open-rail", "name": "shelf"}, 'value="shelf"'),
        ("/plants/spot", {"name": "my corner"}, "my corner"),
    ],
    ids=lambda v: str(v)[:30],
)
def test_what_is_refused_keeps_its_entry_and_the_file(own, path, form, stored):
    page, home = own
    before = home.read_text("utf-8")
    answer = page.post(path, data=form)
    assert answer.status_code == 422
    assert stored in answer.text
    assert home.read_text("utf-8") == before


def test_the_sample_home_is_shown_and_not_changed(tmp_path):
    app = make_app(Settings(demo=True, logs=tmp_path, workers=0))
    with TestClient(app, base_url="http://127.0.0.1") as page:
        page.follow_redirects = False
        shown = page.get("/plants/spots")
        assert shown.status_code == 200
        assert "Roofed balcony" in shown.text
        assert "Add a spot" not in shown.text
        for path in ("/plants/add", "/plants/paste", "/plants/spot"):
            assert page.get(path).status_code == 422
            assert page.post(path, data=POSTS[path]).status_code == 422


@pytest.mark.parametrize(
    ("typed", "name", "word"),
    [
        ("Masdevallia", "Masdevallia", None),
        ("masdevalia", "Masdevallia", None),
        ("lemon tree", "Citrus, lemon and lime", "lemon tree"),
        ("moth orchid", "Phalaenopsis hybrids", "moth orchid"),
        ("Cattleya", "Guarianthe", "Cattleya"),
    ],
)
def test_a_growers_own_word_becomes_the_label_and_a_wrong_letter_does_not(
    typed, name, word
):
    assert own_word(typed, name) == word


def test_a_name_that_leads_nowhere_is_no_error():
    assert meaning("").unknown
    assert meaning("?!").unknown
    assert meaning("Cattleya").choices
    assert not meaning("Cattleya").unknown


def test_a_home_file_with_a_mistake_is_named_and_kept(own):
    """Nobody is asked to begin a home while the own one waits to be corrected."""
    page, home = own
    broken = home.read_text("utf-8").replace("roofed-balcony", "roofed-balkony", 1)
    home.write_text(broken, "utf-8")
    for path in ("/plants", "/plants/add?name=Masdevallia", "/plants/spot"):
        answer = page.get(path)
        assert answer.status_code == 422, path
        assert "roofed-balkony" in answer.text, path
    answer = page.get("/plants")
    assert "No plant yet" not in answer.text
    assert 'action="/plants/add"' not in answer.text
    assert page.get("/plants/spots").headers["location"] == "/plants"
    assert "roofed-balkony" in page.get("/start").text
    begun = page.post("/home", data={"do": "begin", "town": "Zadar,HR", "name": "New"})
    assert begun.status_code == 303
    assert home.read_text("utf-8") == broken
