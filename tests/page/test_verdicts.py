"""Verdicts, months and the strict choice, as the page shows them."""

from __future__ import annotations

import re
from itertools import combinations
from typing import get_args

import httpx2
import pytest

from climrisk.advice.verdict import VerdictWord
from climrisk.web.pieces import engine
from climrisk.web.screens import BY_PATH
from tests.page.conftest import TODAY, served_demo
from tests.page.waiting import seen

WORDS = get_args(VerdictWord)
FEW = f"years=8&members=3&as_of={TODAY}"
#: Screens whose commands judge by every cold night where they are asked to.
STRICT = {
    "check": "plant=Phalaenopsis+hybrids&spot=balcony",
    "year": "",
    "spots": "plant=Masdevallia&spot=balcony&spot=sill",
    "arrival": "plant=Phalaenopsis+hybrids&spot=balcony",
    "help": "plant=Phalaenopsis+hybrids&spot=balcony",
}


@pytest.fixture(scope="module")
def demo_url(tmp_path_factory):
    with served_demo(tmp_path_factory.mktemp("logs")) as url:
        yield url


@pytest.fixture(scope="module")
def document(demo_url):
    """Return a function that gets the document of a screen, each once."""
    held = {}

    def get(path, **more):
        query = "&".join(
            [STRICT.get(path, ""), FEW, *(f"{k}={v}" for k, v in more.items())]
        )
        if (path, query) not in held:
            answer = httpx2.get(f"{demo_url}/{path}.json?{query}", timeout=120)
            assert answer.status_code == 200, answer.text
            held[path, query] = answer.json()
        return held[path, query]

    return get


@pytest.fixture
def page(chromium):
    context = chromium.new_context(
        viewport={"width": 360, "height": 740}, locale="en-GB"
    )
    yield context.new_page()
    context.close()


def shape(word: str) -> str:
    text = '{% from "pieces.html" import shape %}{{ shape(word) }}'
    return engine().from_string(text).render(word=word)


@pytest.mark.browser
def test_every_verdict_has_a_shape_that_is_known_without_color(page):
    """Black on white, any two of them differ in a tenth of their square and more."""
    drawn = []
    for word in WORDS:
        style = (
            "<style>.ring,.mark{fill:none;stroke:#000;stroke-width:3}"
            ".mark{stroke-width:4}.dash{stroke-dasharray:5.2 4}</style>"
        )
        svg = shape(word).replace(
            "<svg ", '<svg xmlns="http://www.w3.org/2000/svg" width="40" height="40" '
        )
        svg = re.sub(r"(<svg[^>]*>)", rf"\1{style}", svg)
        drawn.append(
            page.evaluate(
                """async svg => {
                    const image = new Image();
                    image.src = 'data:image/svg+xml,' + encodeURIComponent(svg);
                    await image.decode();
                    const canvas = document.createElement('canvas');
                    canvas.width = canvas.height = 40;
                    const pen = canvas.getContext('2d');
                    pen.fillStyle = '#fff';
                    pen.fillRect(0, 0, 40, 40);
                    pen.drawImage(image, 0, 0);
                    const data = pen.getImageData(0, 0, 40, 40).data;
                    return [...data].filter((_, i) => i % 4 === 0).map(v => +(v < 128));
                }""",
                svg,
            )
        )
    assert all(sum(one) > 100 for one in drawn)
    for (a, one), (b, other) in combinations(zip(WORDS, drawn, strict=True), 2):
        differ = sum(x != y for x, y in zip(one, other, strict=True))
        assert differ > 160, (a, b, differ)


def test_a_word_that_is_no_verdict_has_no_shape():
    assert shape("put out now") == ""
    assert all('aria-hidden="true"' in shape(word) for word in WORDS)


@pytest.mark.browser
@pytest.mark.long
@pytest.mark.parametrize("path", sorted(STRICT))
def test_strict_is_chosen_by_keyboard_and_carried_by_the_document(page, demo_url, path):
    page.goto(f"{demo_url}/{path}?{STRICT[path]}&{FEW}")
    seen(page, ".sheet", 120_000)
    tick = page.locator("input[name=strict]")
    assert not tick.is_checked()
    page.locator(".question > summary").press("Enter")
    folded = page.locator("form.ask details:not([open]) > summary")
    while folded.count():
        folded.first.press("Enter")
    # Reached by the tabulator from the field before it.
    page.locator("form.ask :is(input, select):not([type=hidden])").first.focus()
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.name") == "strict":
            break
    page.keyboard.press("Space")
    assert tick.is_checked()
    page.locator("form.ask button.go").press("Enter")
    page.wait_for_url("**strict=true**", timeout=120_000)
    seen(page, ".sheet", 120_000)
    assert page.locator("input[name=strict]").is_checked()
    document = page.locator("a", has_text="These numbers as JSON").get_attribute("href")
    assert "strict=true" in document


@pytest.mark.long
def test_strict_takes_the_preferred_minimum_for_the_tolerated_one(document):
    for path in ("year", "spots", "arrival"):
        plain, strict = document(path), document(path, strict="true")
        rows = [plain, strict] if path != "year" else []
        if path == "year":
            rows = [plain["months"][0], strict["months"][0]]
        assert rows[0]["tolerated_c"] < rows[0]["preferred_c"]
        assert rows[1]["tolerated_c"] == rows[1]["preferred_c"]
    assert document("check", strict="true")["verdict"]["strict"] is True
    assert document("check")["verdict"]["strict"] is False
    assert "strict" in BY_PATH["help"].ask.model_fields


@pytest.mark.browser
def test_months_and_verdicts_of_the_year_are_those_of_its_document(
    page, demo_url, document
):
    year = document("year")
    page.goto(f"{demo_url}/year?{FEW}")
    seen(page, ".sheet", 120_000)
    rows = page.locator("table.year tbody tr").all()
    assert len(rows) == len(year["months"])
    for row, plant in zip(rows, year["months"], strict=True):
        cells = row.locator("td:not(.name)").all()
        for cell, (month, state) in zip(cells, plant["states"].items(), strict=True):
            assert state in cell.get_attribute("class").split()
            words = cell.text_content().split()
            assert words[0] == state
            note = plant["state_notes"].get(month)
            if note is not None and state == "in":
                # "in from 10 October", with a short month.
                assert words[:3] == note.split()[:3]
                assert note.split()[3].startswith(words[3])
    text = page.locator(".sheet").text_content()
    for plant in year["months"]:
        assert plant["verdict"] in text
        assert all(note in text for note in plant["notes"])
    assert {s for p in year["months"] for s in p["states"].values()} == {
        *("in", "out", "watch")
    }


@pytest.mark.browser
def test_a_check_says_what_it_needs_besides_its_moves(page, demo_url):
    query = f"plant=Cymbidium,+standard+hybrids&spot=walkway&{FEW}"
    response = httpx2.get(f"{demo_url}/check.json?{query}", timeout=120).json()
    page.goto(f"{demo_url}/check?{query}")
    seen(page, ".sheet", 120_000)
    text = " ".join(page.locator(".sheet").text_content().split())
    lamps = [c for c in response["verdict"]["conditions"] if c["kind"] == "light"]
    assert lamps
    assert f"{lamps[0]['lamp_h']} h a day" in text
    assert f"Flowering is {response['flowering']['word']}" in text
    assert response["verdict"]["room"] in text
    assert page.locator(".verdict > .shape").count() == 1
