"""Every screen in a real browser: phone and desk, keyboard, no script, print, axe."""

from __future__ import annotations

import re
import time
from urllib.parse import urlsplit

import httpx2
import pytest
from playwright.sync_api import expect

from climrisk.web.screens import SCREENS
from tests.made_files import logger_csv, truth
from tests.page.conftest import TODAY, served_demo
from tests.page.findings import LABELS, SMALL, axe_findings
from tests.page.waiting import changed, seen, seen_alone, settled
from tests.quick import but_quick

pytestmark = pytest.mark.browser
FEW = f"years=8&members=3&as_of={TODAY}"
SHOWN = {
    "tonight": f"words=4,+wind+6+km/h,+clear&as_of={TODAY}",
    "plants": FEW,
    "check": f"plant=Phalaenopsis+hybrids&spot=balcony&{FEW}",
    "year": FEW,
    "arrival": f"plant=Masdevallia&spot=shelf&{FEW}",
    "cold": f"words=3.1+at+06:00,+7+h+below+8&spot=balcony&{FEW}",
    "spots": f"plant=Masdevallia&{FEW}",
    "pots": f"pot=glass&pot=terracotta&medium=sphagnum&{FEW}",
    "winter": f"plant=Masdevallia&spot=balcony&{FEW}",
    "help": f"plant=Masdevallia&spot=shelf&{FEW}",
    "review": f"demo=true&plants=Masdevallia&{FEW}",
    "learn": f"demo=true&as_of={TODAY}",
    "weather": f"years=8&as_of={TODAY}",
    "print": FEW,
}
PHONE, TABLET, DESK = (360, 740), (768, 1024), (1280, 900)
SIZES = (PHONE, TABLET, DESK)
WIDER_ONES_LONG = pytest.mark.parametrize(
    "size",
    [PHONE, *(pytest.param(s, marks=pytest.mark.long) for s in (TABLET, DESK))],
    ids=["360", "768", "1280"],
)
AROUND = ("start", "homes", "settings", "understand", "about")
#: Screens that every run looks at.
OFTEN = ("tonight", "plants", "check", "year", "winter", "print")
#: What holds an answer: of one question, of the plants, of the printed list.
ANSWER = ".sheet, .collection, .moving"
#: Screens of the plants kept, which have an order of their own.
OF_PLANTS = {"plants", "year", "print"}


@pytest.fixture(scope="module")
def demo_url(tmp_path_factory):
    with served_demo(tmp_path_factory.mktemp("logs")) as url:
        yield url


@pytest.fixture
def look(chromium, demo_url):
    """Return a function that opens a screen; every page must stay quiet and local."""
    contexts, said, requests = [], [], []

    def open_page(path, size=DESK, *, wait=ANSWER, **options):
        options = {"locale": "en-GB", "reduced_motion": "reduce", **options}
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]}, **options
        )
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda m: said.append(m.text))
        page.on("pageerror", lambda e: said.append(str(e)))
        page.on("request", lambda r: requests.append(r.url))
        page.goto(demo_url + path)
        if wait:
            seen(page, wait)
        return page

    yield open_page
    for context in contexts:
        context.close()
    # A form that was sent with a fault is answered with 422, which Chromium reports.
    assert [s for s in said if "422" not in s] == []
    assert {urlsplit(url).hostname for url in requests} == {"127.0.0.1"}


def screen(path):
    return f"/{path}?{SHOWN[path]}"


def test_every_screen_of_the_menu_is_looked_at():
    assert set(SHOWN) == {s.path for s in SCREENS if s.in_menu}


@WIDER_ONES_LONG
@pytest.mark.parametrize("path", but_quick(sorted(SHOWN), *OFTEN))
def test_a_screen_answers_and_fits(look, path, size):
    page = look(screen(path), size, bypass_csp=True)
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    assert page.evaluate(LABELS) == []
    assert axe_findings(page) == []
    assert page.locator("h1").count() == 1
    assert page.locator("h1").inner_text()
    for picture in page.locator(".still:visible").all():
        drawn = picture.locator("svg:visible")
        assert drawn.count() == 1
        box = drawn.bounding_box()
        assert box["width"] > 250
        assert box["height"] > 60
        assert drawn.locator("tspan:visible").count() >= 4
    # Folded parts as well: no option of the command line, and no difference in kelvin.
    text = page.locator("main").text_content()
    assert re.findall(r"(?<![\w-])--[a-z][\w-]*", text) == []
    assert re.findall(r"\d K\b(?!/)", text) == []
    assert re.findall(r"\bclimrisk [a-z]", text.replace("Made with climrisk", "")) == []
    if path == "winter":
        nights = page.locator(".still svg:visible").first.locator("rect.bar:visible")
        assert nights.count() > 140
    if size == PHONE:
        if path not in OF_PLANTS:
            in_order(page, path)
        assert page.evaluate(SMALL) == []
        # With all sections folded an answer stays short on a phone.
        height = page.evaluate("document.documentElement.scrollHeight")
        assert height <= 2500


def in_order(page, path):
    """Check that the answer comes first, then three facts, then the chart.

    Tables wait folded.
    """
    order = page.evaluate("""[...document.querySelectorAll('.sheet h1, .sheet .tiles, '
        + '.sheet figure, .sheet .folds')].filter(e => !e.closest('.folds details'))
        .map(e => e.matches('h1') ? 'a' : e.matches('.tiles') ? 'f' :
             e.matches('figure') ? 'c' : 'z').join('')""")
    assert order == ("acz" if path == "tonight" else "afcz")
    tiles = page.locator(".tiles dd.value").all_inner_texts()
    assert len(tiles) == (0 if path == "tonight" else 3)
    assert all(tiles)
    # Answer and facts stand on the first screen, above the bar of areas.
    last = page.locator(".tiles, h1.big").last.bounding_box()
    assert last["y"] + last["height"] < PHONE[1] - 64
    if path != "tonight":
        # The chart begins there.
        chart = page.locator(".sheet figure").first.bounding_box()
        assert chart["y"] < PHONE[1] - 64 - 120
    assert page.locator(".folds details[open]").count() == 0


def test_before_buying_shows_its_answer_chart_and_facts_at_once(look):
    page = look(screen("check"), PHONE)
    strip = page.locator(".strip").bounding_box()
    assert strip["y"] + strip["height"] < PHONE[1] - 64
    assert page.locator(".verdict .shape").count() == 1
    words = page.locator(".tiles dt").all_inner_texts()
    assert words == ["Bring in by", "Take out from", "Coldest night"]
    question = page.locator(".question > summary").inner_text()
    assert "Phalaenopsis hybrids · roofed balcony" in " ".join(question.split())
    # The form waits behind one line.
    assert not page.locator("#f-plant").is_visible()
    page.locator(".question > summary").click()
    assert page.locator("#f-plant").is_visible()


@pytest.mark.parametrize("size", SIZES, ids=["360", "768", "1280"])
def test_four_areas_are_in_reach_and_all_else_is_in_one_menu(look, size):
    page = look(screen("check"), size)
    bar = page.locator(".areas .four a")
    names = [n.strip() for n in bar.all_inner_texts()]
    assert names == ["Tonight", "My plants", "Before buying", "Understand"]
    assert page.locator(".areas .four a[aria-current=page]").inner_text().strip() == (
        "Before buying"
    )
    box = page.locator(".areas").bounding_box()
    if size == PHONE:
        assert box["y"] + box["height"] == size[1]
    else:
        assert (box["x"], box["width"]) == (0, 104 if size == TABLET else 240)
    if size != DESK:
        page.locator(".menu > summary").click()
    menu = page.locator(".areas .deep a" if size == DESK else ".menu a")
    hrefs = {urlsplit(a.get_attribute("href")).path for a in menu.all()}
    shown = {f"/{s.path}" for s in SCREENS if s.in_menu}
    assert shown <= hrefs | {"/tonight", "/plants", "/check"}
    assert {"/homes", "/settings", "/about"} <= hrefs
    assert all(a.is_visible() for a in menu.all())
    if size != DESK:
        page.keyboard.press("Escape")
        assert not menu.first.is_visible()


@pytest.mark.parametrize("path", but_quick(AROUND, "start", "understand"))
@WIDER_ONES_LONG
def test_pages_around_the_answers_fit(look, path, size):
    page = look(f"/{path}", size, wait="h1")
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    if size == PHONE:
        assert page.evaluate(SMALL) == []


def test_tonight_shows_its_answer_before_its_question(look):
    page = look(screen("tonight"), PHONE)
    assert page.evaluate("""document.querySelector('h1').compareDocumentPosition(
        document.querySelector('.question')) & Node.DOCUMENT_POSITION_FOLLOWING""")
    # What to carry stands on the first screen of a phone.
    assert page.locator("h1.big").bounding_box()["y"] < 120
    assert page.locator("h1.big").get_attribute("aria-label").startswith("Carry ")
    understood = page.locator(".question > summary").inner_text()
    # What was understood is repeated in both units.
    assert "4 °C (39 °F)" in " ".join(understood.split())
    assert page.locator(".tick").first.bounding_box()["y"] < PHONE[1] - 64


@pytest.mark.parametrize("path", [*sorted(SHOWN), *AROUND])
@pytest.mark.parametrize(
    ("size", "scheme"),
    [(PHONE, "light"), (TABLET, "dark"), (DESK, "dark")],
    ids=["phone", "tablet", "dark"],
)
@pytest.mark.long
def test_axe_finds_nothing(look, path, size, scheme):
    page = look(
        screen(path) if path in SHOWN else f"/{path}",
        size,
        wait=".sheet, h1",
        bypass_csp=True,
        color_scheme=scheme,
    )
    assert axe_findings(page) == []


@pytest.mark.long
def test_by_keyboard_alone(look):
    page = look(f"/check?{FEW}", wait="main")
    page.keyboard.press("Tab")
    assert page.locator(":focus").inner_text() == "Skip to the answer"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "main"
    for _ in range(6):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "f-plant":
            break
    page.keyboard.type("Masdevallia")
    changed(page, lambda: page.keyboard.press("Enter"))
    seen(page, ".sheet")
    assert "Masdevallia" in page.locator(".question > summary").inner_text()
    # What has the focus can be seen.
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    for words in ("All numbers", "Night minima by week"):
        page.locator("summary", has_text=words).focus()
        page.keyboard.press("Enter")
    assert page.locator("details details[open] tbody tr").count() == 52


@pytest.mark.parametrize("path", but_quick(sorted(SHOWN), "check", "plants", "tonight"))
def test_without_script(look, path):
    page = look(screen(path), PHONE, java_script_enabled=False)
    assert page.locator("h1").inner_text()
    for picture in page.locator(".still:visible").all():
        assert picture.locator("svg:visible").count() == 1
    # Buttons that need a script are not shown without one.
    assert page.locator("[data-do]:visible").count() == 0
    assert page.locator(".menu a:visible").count() == 0
    page.locator(".menu > summary").click()
    assert page.locator(".menu a:visible").count() > 10


def test_without_script_a_form_is_sent_and_work_is_waited_for(look):
    page = look("/check", PHONE, wait="main", java_script_enabled=False)
    page.fill("#f-plant", "Epidendrum, reed-stem")
    page.locator(".picker > summary", has_text="Where it would stand").click()
    page.locator(".kind", has_text="Choose this if there is a roof, but").click()
    page.click("text=Check it")
    # While it is worked on, the page asks again by itself.
    seen(page, ".sheet")
    assert "Epidendrum" in page.locator(".question > summary").inner_text()


def test_the_slider_moves_the_dates_without_a_new_page(look):
    page = look(screen("year"))
    page.evaluate("window.same = true")
    before = page.locator(".collection").inner_text()
    page.locator(".question > summary").click()
    slider = page.locator("#f-risk")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    assert page.locator("output[data-of=f-risk]").inner_text() == "35"
    page.wait_for_url("**risk=0.35**", timeout=60_000)
    settled(page)
    # At a higher risk the same plants come in later.
    expect(page.locator(".collection")).not_to_have_text(before, timeout=60_000)
    assert page.evaluate("window.same") is True
    assert "risk=0.35" in page.url


@pytest.mark.long
def test_degrees_dates_and_light_are_the_readers(look):
    page = look(screen("check"))
    address = page.url
    assert "°C" in page.locator(".tiles").inner_text()

    def choose(name, value):
        page.goto(address)
        page.get_by_role("link", name="Settings").click()
        page.click(f"button[name={name}][value={value}]")
        seen(page, f"button[value={value}][aria-pressed=true]")
        page.goto(address)
        seen(page, ".sheet")

    choose("unit", "f")
    text = page.locator("main").text_content()
    assert "°F" in text
    assert "°C" not in text.replace("°C to °F", "")
    assert "°C" not in page.locator(".plotgrid").first.inner_html()
    choose("dates", "mdy")
    assert re.search(r"Oct \d|Apr \d", page.locator(".tiles").inner_text())
    choose("theme", "dark")
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert max(int(v) for v in re.findall(r"\d+", paper)) < 60
    page.goto(page.url)
    assert page.locator("html[data-theme=dark]").count() == 1


def test_an_american_browser_reads_fahrenheit_at_once(look):
    page = look(screen("tonight"), PHONE, locale="en-US")
    assert "4 °F (−16 °C)" in " ".join(page.locator(".question").inner_text().split())
    assert "°F" in page.locator(".ranges").inner_text()


@pytest.mark.parametrize("path", ["winter", "check", "tonight"])
def test_a_sheet_prints_without_the_page_around_it(look, path):
    page = look(screen(path))
    page.emulate_media(media="print")
    for part in (".top", ".areas", ".tabs", ".question", ".buttons", "details"):
        assert page.locator(f"{part}:visible").count() == 0
    assert page.locator(".sheet h1:visible").count() == 1
    paper = page.evaluate("getComputedStyle(document.body).backgroundColor")
    assert paper == "rgb(255, 255, 255)"
    assert page.locator(".careful:visible").count() == 1
    pdf = page.pdf(format="A4")
    assert pdf.startswith(b"%PDF")
    sheets = len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))
    assert 1 <= sheets <= 4


def test_print_is_black_on_white_also_from_a_dark_page(look):
    page = look(screen("winter"), color_scheme="dark")
    page.emulate_media(media="print", color_scheme="dark")
    ink = page.evaluate("getComputedStyle(document.querySelector('h1')).color")
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
    seen(page, ".sheet")


def test_work_can_be_stopped(look):
    pots = "&".join(
        f"pot={p}" for p in ("glass", "metal", "fabric", "polystyrene", "terracotta")
    )
    slow = f"/pots?{pots}&medium=sphagnum&medium=grit&medium=perlite&setup=full"
    page = look(slow, wait=".working")
    assert page.locator(".working .open-end, .working progress").count() == 1
    page.click("text=Stop")
    seen(page, "text=Stopped; nothing was changed")
    assert page.locator("text=Ask again").count() == 1


def test_less_motion_where_it_is_asked_for(look):
    page = look("/check", wait="main", reduced_motion="reduce")
    page.evaluate("""() => { const p = document.createElement('p');
        p.className = 'progress'; p.innerHTML = '<span class="open-end"></span>';
        document.querySelector('main').append(p); }""")
    moved = page.evaluate(
        "getComputedStyle(document.querySelector('.open-end')).animationName"
    )
    assert moved == "none"


@pytest.mark.long
def test_a_loggers_file_is_handed_over_and_asked_about(look, tmp_path):
    made = truth("2021-01-01", 24 * 40)
    path = logger_csv(tmp_path / "shelf.csv", made, unit="f", unit_in_header=False)
    page = look("/start", wait="main")
    page.set_input_files("#f-file", str(path))
    page.fill("#f-logger-town", "Rijeka")
    page.click("text=Read the file")
    seen(page, ".fault")
    assert "look like °F" in page.locator(".fault").inner_text()
    # The refusal keeps the town.
    assert page.locator("#f-town").input_value() == "Rijeka"
    page.select_option("#f-temperature_unit", "f")
    page.click("text=Read it so")
    seen(page, ".sheet")
    assert "shelf.csv" in page.locator("main").inner_text()


def test_an_excel_file_is_refused_in_plain_words_and_the_town_stays(look, tmp_path):
    path = tmp_path / "shelf.xlsx"
    path.write_bytes(b"PK\x03\x04" + b"x" * 200)
    page = look("/start", wait="main")
    page.set_input_files("#f-file", str(path))
    page.fill("#f-logger-town", "Rijeka")
    page.click("text=Read the file")
    seen(page, ".fault")
    assert (
        page.locator(".fault")
        .inner_text()
        .startswith(
            "This file is a spreadsheet (Excel or similar), which cannot be read here"
        )
    )
    assert "Save it as CSV" in page.locator(".fault").inner_text()
    assert page.locator("#f-logger-town").input_value() == "Rijeka"


def test_towns_appear_while_typing(look):
    page = look("/start", PHONE, wait="main")
    page.locator("#f-town").press_sequentially("San Diego, Cal", delay=20)
    # What was typed before may have offered more of them.
    seen_alone(page, "#town-options input", "[value^='San Diego']")
    assert "California" in page.locator("#town-options label").inner_text()
    assert page.locator("#town-options input").is_checked()
    page.fill("#f-town", "Valencia, Spa")
    seen_alone(page, "#town-options input", "[value='Valencia,ES']")


def test_it_can_be_put_on_a_phone_and_its_link_copied(look, demo_url):
    page = look(screen("check"), PHONE)
    manifest = page.request.get(
        demo_url + page.locator("link[rel=manifest]").get_attribute("href")
    )
    assert manifest.headers["content-type"] == "application/manifest+json"
    result = manifest.json()
    assert (result["display"], result["start_url"]) == ("standalone", "/")
    for icon in result["icons"]:
        answer = page.request.get(demo_url + icon["src"])
        assert (answer.status, answer.headers["content-type"]) == (200, icon["type"])
    colors = page.locator("meta[name=theme-color]").all()
    assert [c.get_attribute("media") for c in colors] == [
        "(prefers-color-scheme: light)",
        "(prefers-color-scheme: dark)",
    ]
    # As over plain HTTP in the house, where there is no clipboard object.
    page.evaluate("Object.defineProperty(navigator, 'clipboard', {value: undefined})")
    page.get_by_role("button", name="Copy link").click()
    seen(page, "[data-said]:has-text('Link copied.')")
    page.evaluate("window.print = () => { window.printed = true; }")
    page.get_by_role("button", name="Print").click()
    assert page.evaluate("window.printed") is True


@pytest.mark.parametrize("path", but_quick(sorted(SHOWN), "check"))
def test_a_view_is_light(demo_url, path, capsys):
    """What a reader's first look at a screen weighs, compressed as it is sent."""
    sizes = {}
    with httpx2.Client(base_url=demo_url, timeout=120) as client:
        page = client.get(screen(path))
        while 'class="card progress working"' in page.text:
            page = client.get(screen(path))
        files = set(re.findall(r'(?:href|src)="(/static/[^"]+)"', page.text))
        for address in (screen(path), *sorted(files)):
            with client.stream("GET", address) as answer:
                zipped = answer.headers.get("content-encoding") == "gzip"
                assert zipped or address.endswith((".png", ".svg"))
                sizes[address] = sum(len(part) for part in answer.iter_raw())
    with capsys.disabled():
        document = sizes[screen(path)]
        print(
            f"\n{path}: {document / 1000:.0f} kB, all {sum(sizes.values()) / 1000:.0f}"
        )
    assert sum(sizes.values()) <= 150_000


@pytest.mark.long
def test_the_first_answer_is_quick(look, demo_url, capsys):
    # Another plant first, so that the processes are warm and the years cached.
    page = look("/check?plant=Adenium&years=10&spot=wall-shelf")
    begin = time.perf_counter()
    page.goto(f"{demo_url}/check?plant=Masdevallia&years=10&members=20&spot=wall-shelf")
    seen(page, ".sheet")
    seconds = time.perf_counter() - begin
    with capsys.disabled():
        print(f"\nfirst answer, 10 cached years: {seconds:.2f} s")
    assert page.locator(".tiles dd.value").count() == 3
