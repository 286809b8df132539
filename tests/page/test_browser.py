"""Every screen in a real browser: phone and desk, keyboard, no script, print, axe."""

from __future__ import annotations

import re
import time
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from climrisk.web.screens import SCREENS
from climrisk.web.settings import Settings
from tests.made_files import logger_csv, truth
from tests.page.conftest import TODAY, served
from tests.quick import but_quick

pytestmark = pytest.mark.browser
AXE = (Path(__file__).parents[1] / "vendor" / "axe.min.js").read_text("utf-8")
FEW = f"years=8&members=3&as_of={TODAY}"
SHOWN = {
    "tonight": f"words=4,+wind+6+km/h,+clear&as_of={TODAY}",
    "plants": FEW,
    "check": f"plant=Phalaenopsis+hybrids&spot=balcony&{FEW}",
    "year": FEW,
    "arrival": f"plant=Masdevallia&spot=shelf&{FEW}",
    "cold": f"words=3.1+at+06:00,+7+h+below+8&spot=back+room&{FEW}",
    "spots": f"plant=Masdevallia&{FEW}",
    "pots": f"pot=glass&pot=terracotta&medium=sphagnum&{FEW}",
    "winter": f"plant=Masdevallia&spot=balcony&{FEW}",
    "help": f"plant=Masdevallia&spot=shelf&{FEW}",
    "review": f"demo=true&plants=Masdevallia&{FEW}",
    "learn": f"demo=true&as_of={TODAY}",
    "weather": f"years=8&as_of={TODAY}",
    "print": FEW,
}
PHONE, DESK = (360, 740), (1280, 900)


@pytest.fixture(scope="module")
def demo_url(tmp_path_factory):
    with served(Settings(demo=True, logs=tmp_path_factory.mktemp("logs"))) as url:
        yield url


@pytest.fixture
def look(chromium, demo_url):
    """Return a function that opens a screen; every page must stay quiet and local."""
    contexts, said, asked = [], [], []

    def open_page(path, size=DESK, *, wait=".sheet", **options):
        options = {"locale": "en-GB", **options}
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]}, **options
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda m: said.append(m.text))
        page.on("pageerror", lambda e: said.append(str(e)))
        page.on("request", lambda r: asked.append(r.url))
        page.goto(demo_url + path)
        if wait:
            page.wait_for_selector(wait, timeout=60_000)
        return page

    yield open_page
    for context in contexts:
        context.close()
    # A form that was sent with a fault is answered with 422, which Chromium reports.
    assert [s for s in said if "422" not in s] == []
    assert {urlsplit(url).hostname for url in asked} == {"127.0.0.1"}


#: What is too small to be touched.
SMALL = """() => [...document.querySelectorAll(
        'button, select, input:not([type=hidden]), summary, nav a, a.button, a.zoom')]
        .filter(e => e.offsetParent !== null)
        .map(e => e.type === 'checkbox' ? e.closest('label') : e)
        .map(e => [e.getBoundingClientRect(), e.outerHTML.slice(0, 80)])
        .filter(([b]) => b.width > 0 && (b.height < 43.5 || b.width < 43.5))
        .map(([b, t]) => `${b.width}x${b.height} ${t}`)"""


def screen(path):
    return f"/{path}?{SHOWN[path]}"


def test_every_screen_of_the_menu_is_looked_at():
    assert set(SHOWN) == {s.path for s in SCREENS if s.in_menu}


@pytest.mark.parametrize(
    "size", [PHONE, pytest.param(DESK, marks=pytest.mark.long)], ids=["360", "1280"]
)
@pytest.mark.parametrize("path", sorted(SHOWN))
def test_a_screen_answers_and_fits(look, path, size):
    page = look(screen(path), size)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert page.locator("h1").first.inner_text()
    assert page.locator(".sheet .lead").first.inner_text()
    for picture in page.locator(".still").all():
        drawn = picture.locator("svg:visible")
        assert drawn.count() == 1
        box = drawn.bounding_box()
        assert box["width"] > 250
        assert box["height"] > 120
        assert drawn.locator("tspan:visible").count() >= 6
    # Folded parts as well: no option of the command line, and no difference in kelvin.
    text = page.locator(".sheet").text_content()
    assert re.findall(r"(?<![\w-])--[a-z][\w-]*", text) == []
    assert re.findall(r"\d K\b(?!/)", text) == []
    if path == "winter":
        nights = page.locator(".still svg:visible").first.locator("rect.bar:visible")
        assert nights.count() > 140
    # Sentence, then picture, then table: the order in which a reader meets them.
    order = page.evaluate("""[...document.querySelectorAll(
        '.sheet section:first-of-type :is(.lead, figure, table)')].map(e => e.className
        === 'lead' ? 's' : e.tagName === 'FIGURE' ? 'p' : 't').join('')""")
    assert re.fullmatch("s+p*t*", order), order
    if size == PHONE:
        assert page.evaluate(SMALL) == []


def test_the_first_page_fits_a_phone(look):
    page = look("/start", PHONE, wait=".way")
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE[0]
    assert page.evaluate(SMALL) == []


def test_tonight_shows_its_answer_before_its_question(look):
    page = look(screen("tonight"), PHONE)
    assert page.evaluate("""document.querySelector('#answer').compareDocumentPosition(
        document.querySelector('form.ask')) & Node.DOCUMENT_POSITION_FOLLOWING""")
    # The sentence that says what to carry stands on the first screen of a phone.
    assert page.locator(".sheet .lead").bounding_box()["y"] < PHONE[1] - 120


@pytest.mark.parametrize("path", [*sorted(SHOWN), "start"])
@pytest.mark.parametrize(
    ("size", "scheme"),
    but_quick([(PHONE, "light"), (DESK, "dark")], (DESK, "dark")),
    ids=["phone", "dark"],
)
def test_axe_finds_nothing_serious(look, path, size, scheme):
    page = look(
        screen(path) if path in SHOWN else "/start",
        size,
        wait=".sheet, .way",
        bypass_csp=True,
        color_scheme=scheme,
    )
    page.add_script_tag(content=AXE)
    found = page.evaluate("axe.run(document)")
    assert len(found["passes"]) > 10
    serious = [
        (v["id"], [n["target"] for n in v["nodes"]][:3])
        for v in found["violations"]
        if v["impact"] in ("serious", "critical")
    ]
    assert serious == []


def test_by_keyboard_alone(look):
    page = look(f"/check?{FEW}", wait="main")
    page.keyboard.press("Tab")
    assert page.locator(":focus").inner_text() == "To the answer"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.id") == "f-plant"
    page.keyboard.type("Masdevallia")
    page.keyboard.press("Enter")
    page.wait_for_selector(".sheet", timeout=60_000)
    assert "Masdevallia" in page.locator(".sheet h2").first.inner_text()
    # What has the focus can be seen.
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    summary = page.locator("summary", has_text="Night minima by week")
    summary.focus()
    page.keyboard.press("Enter")
    assert page.locator("details[open] tbody tr").count() == 52


@pytest.mark.parametrize("path", sorted(SHOWN))
def test_without_script(look, path):
    page = look(screen(path), PHONE, java_script_enabled=False)
    assert page.locator(".sheet .lead").first.inner_text()
    for picture in page.locator(".still").all():
        assert picture.locator("svg:visible").count() == 1


def test_without_script_a_form_is_sent_and_work_is_waited_for(look):
    page = look("/check", PHONE, wait="main", java_script_enabled=False)
    page.fill("#f-plant", "Epidendrum, reed-stem")
    page.select_option("#f-spot", "walkway")
    page.click("text=Check it")
    # While it is worked on, the page asks again by itself.
    page.wait_for_selector(".sheet", timeout=60_000)
    assert "Epidendrum" in page.locator(".sheet h2").first.inner_text()


def test_the_slider_moves_the_dates_without_a_new_page(look):
    page = look(screen("year"))
    page.evaluate("window.same = true")
    before = page.locator(".sheet .lead").first.inner_text()
    slider = page.locator("#f-risk")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    assert page.locator("output[data-of=f-risk]").inner_text() == "35"
    page.wait_for_selector(".sheet >> text=earlier in 35 years in 100", timeout=60_000)
    assert page.locator(".sheet .lead").first.inner_text() != before
    assert page.evaluate("window.same") is True
    assert "risk=0.35" in page.url


def test_degrees_dates_and_light_are_the_readers(look):
    page = look(screen("check"))
    assert "°C" in page.locator(".sheet .lead").inner_text()
    page.click("button[name=unit][value=f]")
    page.wait_for_selector(".sheet")
    text = page.locator("main").inner_text()
    assert "°F" in text
    assert "°C" not in text.replace("°C to °F", "")
    assert "°C" not in page.locator(".still svg:visible").first.inner_html()
    page.click("button[name=dates][value=mdy]")
    page.wait_for_selector(".sheet")
    assert re.search(r"Nov \d|September \d|May \d", page.locator("main").inner_text())
    page.click("button[name=theme][value=dark]")
    page.wait_for_selector("html[data-theme=dark]")
    page.wait_for_load_state("load")
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert max(int(v) for v in re.findall(r"\d+", paper)) < 60
    page.goto(page.url)
    assert page.locator("html[data-theme=dark]").count() == 1


def test_an_american_browser_reads_fahrenheit_at_once(look):
    page = look(screen("tonight"), PHONE, locale="en-US")
    assert "°F" in page.locator(".sheet .lead").inner_text()


@pytest.mark.parametrize("path", ["print", "winter", "check", "tonight"])
def test_a_sheet_prints_without_the_page_around_it(look, path):
    page = look(screen(path))
    page.emulate_media(media="print")
    for part in (".top", ".side", ".quick", ".foot", "form"):
        assert page.locator(f"{part}:visible").count() == 0
    assert page.locator(".sheet h1:visible").count() == 1
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert paper == "rgb(255, 255, 255)"
    assert page.locator(".cautions:visible").count() == 1
    pdf = page.pdf(format="A4")
    assert pdf.startswith(b"%PDF")
    sheets = len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))
    assert 1 <= sheets <= 4


def test_print_is_black_on_white_also_from_a_dark_page(look):
    page = look(screen("winter"), color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    ink = page.evaluate("getComputedStyle(document.querySelector('.lead')).color")
    assert ink == "rgb(0, 0, 0)"


def test_a_closer_look_has_no_tools_that_lead_out(look):
    page = look(f"/zoom/winter/ladder1?{SHOWN['winter']}", wait=".plot .main-svg")
    assert page.locator(".modebar-btn, .modebar-btn--logo").count() == 0
    assert page.locator(".plot .barlayer path").count() > 100
    box = page.locator(".plot .nsewdrag").first.bounding_box()
    page.mouse.move(box["x"] + 100, box["y"] + 50)
    page.mouse.down()
    page.mouse.move(box["x"] + 300, box["y"] + 150, steps=4)
    page.mouse.up()
    page.click("text=Back")
    page.wait_for_selector(".sheet")


def test_work_can_be_stopped(look):
    pots = "&".join(
        f"pot={p}" for p in ("glass", "metal", "fabric", "polystyrene", "terracotta")
    )
    slow = f"/pots?{pots}&medium=sphagnum&medium=grit&medium=perlite&setup=full"
    page = look(slow, wait=".working")
    assert "Working on it" in page.locator(".working").inner_text()
    page.click("text=Stop")
    page.wait_for_selector("text=Stopped; nothing was changed")
    assert page.locator("text=Ask again").count() == 1


def test_less_motion_where_it_is_asked_for(look):
    page = look("/check", wait="main", reduced_motion="reduce")
    page.evaluate("""() => { const p = document.createElement('p');
        p.className = 'spin'; document.querySelector('main').append(p); }""")
    moved = page.evaluate(
        "getComputedStyle(document.querySelector('.spin')).animationName"
    )
    assert moved == "none"


def test_a_loggers_file_is_handed_over_and_asked_about(look, tmp_path):
    made = truth("2021-01-01", 24 * 40)
    path = logger_csv(tmp_path / "shelf.csv", made, unit="f", unit_in_header=False)
    page = look("/start", wait="main")
    page.set_input_files("#f-file", str(path))
    page.fill("#f-at", "45.2,14.6,18")
    page.click("text=Read it")
    page.wait_for_selector(".fault", timeout=60_000)
    assert "look like °F" in page.locator(".fault").inner_text()
    page.select_option("#f-temperature_unit", "f")
    page.click("text=Read it so")
    page.wait_for_selector(".sheet", timeout=60_000)
    assert "shelf.csv" in page.locator("main").inner_text()


def test_a_view_is_light_and_the_first_answer_quick(look, demo_url, capsys):
    sizes = []
    # Another plant first, so that the processes are warm and the years cached.
    page = look("/check?plant=Adenium&years=10&spot=wall-shelf")
    page.on("response", lambda r: sizes.append(len(r.body())))
    begin = time.perf_counter()
    page.goto(f"{demo_url}/check?plant=Masdevallia&years=10&members=20&spot=wall-shelf")
    page.wait_for_selector(".sheet", timeout=60_000)
    seconds = time.perf_counter() - begin
    with capsys.disabled():
        print(f"\nfirst answer, 10 cached years: {seconds:.2f} s; view {sum(sizes)} B")
    assert 10_000 < sum(sizes) < 2_000_000
