"""No label of a chart covers another or is cut off, at any width and in any unit."""

from __future__ import annotations

import pytest

from climrisk.web.settings import Settings
from tests.page.conftest import served
from tests.page.test_browser import SHOWN, SIZES, screen
from tests.page.waiting import seen, settled

pytestmark = pytest.mark.browser

#: Pairs of labels that cover each other; labels that leave their card or the window.
#: The box of a text is taller than its letters by a few pixels.
FAULTS = """() => {
    const faults = [];
    const shown = e => e.checkVisibility ? e.checkVisibility() : true;
    for (const svg of document.querySelectorAll('main svg')) {
        if (svg.parentElement.closest('svg') || svg.closest('.defs') || !shown(svg)) {
            continue;
        }
        const labels = [];
        for (const text of svg.querySelectorAll('text')) {
            for (const part of text.querySelectorAll('tspan').length
                    ? text.querySelectorAll('tspan') : [text]) {
                const box = part.getBoundingClientRect();
                if (part.textContent.trim() && box.width > 0 && shown(part)
                        && getComputedStyle(part).display !== 'none'
                        && !part.querySelector('tspan')) {
                    labels.push({text, words: part.textContent.trim(), box});
                }
            }
        }
        const card = (svg.closest('.card, .collection, figure') || svg)
            .getBoundingClientRect();
        labels.forEach((a, i) => {
            if (a.box.left < card.left - 1 || a.box.right > card.right + 1
                    || a.box.right > innerWidth + 1 || a.box.left < -1
                    || a.box.top < card.top - 1 || a.box.bottom > card.bottom + 1) {
                faults.push(`cut off: ${a.words}`);
            }
            labels.slice(i + 1).forEach(b => {
                if (a.text === b.text) {
                    return;
                }
                const wide = Math.min(a.box.right, b.box.right)
                    - Math.max(a.box.left, b.box.left);
                const high = Math.min(a.box.bottom, b.box.bottom)
                    - Math.max(a.box.top, b.box.top);
                if (wide > 1 && high > 4) {
                    faults.push(`${a.words} over ${b.words}`);
                }
            });
        });
    }
    return faults;
}"""


@pytest.fixture(scope="module")
def demo_url(tmp_path_factory):
    with served(Settings(demo=True, logs=tmp_path_factory.mktemp("logs"))) as url:
        yield url


@pytest.fixture(scope="module")
def tab(chromium):
    """Return a function that opens an address, one context for each unit."""
    held = {}

    def opened(url, unit):
        if unit not in held:
            context = chromium.new_context(
                locale="en-US" if unit == "f" else "en-GB", bypass_csp=True
            )
            held[unit] = context.new_page()
        page = held[unit]
        page.goto(url)
        seen(page, "h1, .way")
        settled(page)
        return page

    yield opened
    for page in held.values():
        page.context.close()


@pytest.mark.parametrize("unit", ["c", "f"])
@pytest.mark.parametrize("path", [*sorted(SHOWN), "start"])
def test_no_label_covers_another(tab, demo_url, path, unit):
    """What is drawn fits every width, so that one page is looked at in three."""
    address = screen(path) if path in SHOWN else "/start"
    page = tab(demo_url + address, unit)
    if path == "start":
        seen(page, "#sample .strip")
    # Charts in folded sections as well.
    page.evaluate(
        "document.querySelectorAll('main details').forEach(d => d.open = true)"
    )
    for width, height in SIZES:
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate(FAULTS) == [], width


def test_labels_that_cover_each_other_are_found(tab, demo_url):
    """The check itself: a label moved onto its neighbor is reported."""
    page = tab(f"{demo_url}{screen('check')}", "c")
    page.set_viewport_size({"width": SIZES[2][0], "height": SIZES[2][1]})
    page.evaluate("""() => { const two = document.querySelectorAll('.months text');
        two[1].setAttribute('x', two[0].getAttribute('x')); }""")
    assert "Jul over Aug" in page.evaluate(FAULTS)
    page.evaluate("document.querySelector('.months text').setAttribute('x', '200%')")
    assert "cut off: Jul" in page.evaluate(FAULTS)
