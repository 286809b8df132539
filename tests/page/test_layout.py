"""No label of a chart covers another or is cut off, at any width and in any unit."""

from __future__ import annotations

import pytest

from tests.page.conftest import served_demo
from tests.page.findings import LABELS
from tests.page.test_browser import SHOWN, SIZES, screen
from tests.page.waiting import seen, settled

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def demo_url(tmp_path_factory):
    with served_demo(tmp_path_factory.mktemp("logs")) as url:
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
@pytest.mark.long
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
        assert page.evaluate(LABELS) == [], width


def test_labels_that_cover_each_other_are_found(chromium):
    """The check itself, on two labels that stand apart, touch, and leave their card."""
    page = chromium.new_page(viewport={"width": 400, "height": 300})
    for second, found in ((100, []), (12, ["Jul over Aug"]), (395, ["cut off: Aug"])):
        page.set_content(f"""<main><svg width="400" height="40">
            <text x="0" y="20">Jul</text><text x="{second}" y="20">Aug</text>
            </svg></main>""")
        assert page.evaluate(LABELS) == found
    page.close()
