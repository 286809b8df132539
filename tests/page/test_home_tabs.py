"""Changes of the home from two tabs: each undone alone, equal plants told apart."""

from __future__ import annotations

import re

import pytest

from climrisk.home import demo_home_text, read_home
from climrisk.home.model import references
from tests.page.conftest import TODAY, served_home
from tests.page.findings import SMALL, axe_findings
from tests.page.waiting import seen
from tests.quick import but_quick

pytestmark = pytest.mark.browser
FEW = f"years=4&members=1&as_of={TODAY}"
COLD = f"words=-6C,+clear&as_of={TODAY}"


@pytest.fixture(scope="module")
def page_of_own(tmp_path_factory):
    text = demo_home_text().replace("[weather]", "# Mine.\n[weather]")
    equal = '\n[[plant]]\nname = "Masdevallia"\nspot = "shelf"\n'
    with served_home(tmp_path_factory.mktemp("own"), text + equal + equal) as page:
        yield page


@pytest.fixture
def own(page_of_own):
    url, anew = page_of_own
    return url, anew()


@pytest.fixture(params=but_quick([True, False], True), ids=["script", "plain"])
def tabs(chromium, request):
    context = chromium.new_context(
        locale="en-GB",
        java_script_enabled=request.param,
        viewport={"width": 1280, "height": 900},
    )
    context.set_default_timeout(20_000)
    yield context.new_page
    context.close()


def opened(page, url, path):
    page.goto(url + path)
    seen(page, ".sheet")


def names(home):
    return [p.called for p in read_home(home).plant]


def test_ticking_tonights_list_notes_what_was_carried(own, tabs):
    url, home = own
    page = tabs()
    opened(page, url, f"/tonight?{COLD}")
    boxes = page.locator(".ticks input[type=checkbox]")
    assert boxes.count() == 8
    assert not any(b.is_checked() for b in boxes.all())
    page.locator("label:has-text('3 Phalaenopsis') input").check()
    page.get_by_role("button", name="Save what is done").click()
    seen(page, ".notice:has-text('Phalaenopsis')")
    seen(page, ".sheet")
    inside = page.locator("details", has_text="Inside already")
    assert "3 Phalaenopsis" in inside.first.text_content()
    row = read_home(home).plant[0]
    assert [m.to for m in row.moves] == ["sill"]
    assert "# Mine." in home.read_text("utf-8")
    page.get_by_role("button", name=re.compile("^Undo")).click()
    seen(page, ".notice:has-text('Undone')")
    assert read_home(home).plant[0].moves == ()


def test_my_plants_notes_several_at_once_on_a_day(own, tabs):
    url, home = own
    page = tabs()
    page.goto(f"{url}/plants/carry")
    for name in ("Cymbidium", "Masdevallia (shelf), no. 2"):
        page.locator(f"label:has-text('{name}') input").check()
    page.get_by_label("On", exact=True).fill("2026-11-20")
    # Two rooms here: which one is asked, and what was ticked stays.
    page.get_by_role("button", name="Carried in").click()
    seen(page, ".fault")
    assert "which room" in page.locator(".fault").inner_text()
    assert page.locator("input[name=row]:checked").count() == 2
    assert page.get_by_label("On", exact=True).input_value() == "2026-11-20"
    page.get_by_label("Into the room").select_option("back room")
    page.get_by_role("button", name="Carried in").click()
    seen(page, ".notice")
    moved = [p for p in read_home(home).plant if p.moves]
    assert {p.called for p in moved} == {"Cymbidium, standard hybrids", "Masdevallia"}
    assert len(moved) == 2
    assert str(moved[0].moves[0].on) == "2026-11-20"
    assert len(set(references(read_home(home).plant))) == 8


@pytest.mark.long
def test_degrees_chosen_on_the_page_are_those_of_typed_numbers(own, tabs):
    url, _ = own
    page = tabs()

    def chosen(unit):
        page.goto(f"{url}/settings")
        page.locator(f"button[name=unit][value={unit}]").click()
        seen(page, f"button[value={unit}][aria-pressed=true]")
        opened(page, url, f"/tonight?{COLD}")

    def headline():
        return " ".join(page.locator(".sheet h1").inner_text().split())

    def typed(words):
        page.locator(".question > summary").click()
        page.get_by_label("The forecast, in your words").fill(words)
        page.get_by_role("button", name="What must come in?").click()

    chosen("f")
    typed("20, clear")
    seen(page, ".sheet:has-text('lowest 20 °F, clear')")
    # 20 °F is 6.7 K below freezing: everything tender comes in.
    assert headline() == "Carry 11 in Cover 0 Leave 0"
    assert "temperature_unit=f" in page.url
    document = page.locator("a", has_text="These numbers as JSON").get_attribute("href")
    response = page.request.get(url + document).json()
    assert response["night"]["lowest_c"] == pytest.approx((20 - 32) / 1.8, abs=0.06)
    # A unit that is typed wins, and back in °C the next number is Celsius.
    typed("20C, clear")
    seen(page, ".sheet h1:has-text('Leave 11')")
    assert headline() == "Carry 0 in Cover 0 Leave 11"
    chosen("c")
    typed("20, clear")
    seen(page, ".sheet:has-text('lowest 20 °C')")
    assert headline() == "Carry 0 in Cover 0 Leave 11"


def test_a_bare_address_is_read_by_the_readers_unit(own, chromium):
    url, _ = own
    context = chromium.new_context(locale="en-US")
    page = context.new_page()
    opened(page, url, f"/tonight?words=20,+clear&as_of={TODAY}")
    understood = page.locator(".question").first.inner_text()
    assert "20 °F" in " ".join(understood.split())
    assert (
        page.locator("link[rel=alternate]")
        .get_attribute("href")
        .endswith("temperature_unit=f")
    )
    context.close()


@pytest.mark.parametrize(
    ("size", "scheme", "path"),
    but_quick(
        [
            (size, scheme, path)
            for size, scheme in (((360, 740), "light"), ((1280, 900), "dark"))
            for path in (f"/tonight?{COLD}",)
        ],
        ((1280, 900), "dark", f"/tonight?{COLD}"),
    ),
    ids=str,
)
def test_the_forms_of_an_own_home_fit_and_are_read_aloud(
    own, chromium, path, size, scheme
):
    url, _ = own
    context = chromium.new_context(
        viewport={"width": size[0], "height": size[1]},
        color_scheme=scheme,
        bypass_csp=True,
        locale="en-GB",
    )
    page = context.new_page()
    opened(page, url, path)
    for summary in page.locator("form.ask summary, details.ask > summary").all():
        summary.click()
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert axe_findings(page) == []
    if size[0] == 360:
        assert page.evaluate(SMALL) == []
    context.close()
