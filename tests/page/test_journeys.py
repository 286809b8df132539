"""Ten journeys of a grower's year, on a phone and on a wide screen.

From the first run to the printed sheet; each is walked by what is shown, as somebody
would who has not seen the page before.
"""

from __future__ import annotations

import re

import pytest
from loopback_weather import LoopbackWeather

from climrisk.home import demo_home_text, read_home
from climrisk.web.settings import Settings
from tests.made_files import logger_csv, truth
from tests.page import waiting
from tests.page.conftest import TODAY, served
from tests.page.findings import LABELS
from tests.page.waiting import changed, seen

pytestmark = pytest.mark.browser
FEW = f"years=6&members=2&as_of={TODAY}"
PHONE, DESK = (360, 740), (1280, 900)
SIZES = pytest.mark.parametrize(
    "size",
    [PHONE, pytest.param(DESK, marks=pytest.mark.long)],
    ids=["360", "1280"],
)
#: A press of these counts as a tap; typing does not.
COUNT_TAPS = """() => { window.taps = +(sessionStorage.taps || 0);
    addEventListener('click', e => { if (e.isTrusted) {
        sessionStorage.taps = ++window.taps; } }, true); }"""


@pytest.fixture(scope="module")
def own(tmp_path_factory):
    """Serve a home like the sample one, kept by somebody."""
    folder = tmp_path_factory.mktemp("own")
    home = folder / "home.toml"
    home.write_text("# Mine.\n" + demo_home_text(), "utf-8")
    with served(Settings(home=home, logs=folder / "logs", workers=1)) as url:
        yield url, home


@pytest.fixture
def walk(chromium):
    """Return a function that opens a page in a window of its own."""
    contexts = []

    def begin(size, **options):
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]},
            **{"locale": "en-GB", "reduced_motion": "reduce", **options},
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(60_000)
        return page

    yield begin
    for context in contexts:
        context.close()


def opened(page, address):
    page.goto(address)
    settled(page)


def settled(page):
    """Wait until nothing is being worked on; no label may cover another then."""
    waiting.settled(page)
    assert page.evaluate(LABELS) == []
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= page.viewport_size["width"]


def area(page, name):
    """Go to one of the four areas."""
    changed(page, page.locator(".areas .four a", has_text=name).click)
    settled(page)


@SIZES
def test_first_run_to_the_first_answer_in_under_ten_taps(
    walk, size, tmp_path, monkeypatch, counted
):
    """1. An empty home: a town, its station, and would this plant live here."""
    with LoopbackWeather.sample(years=range(2019, 2024), count=2) as archive:
        for name, value in archive.env(tmp_path / "client").items():
            monkeypatch.setenv(name, value)
        monkeypatch.setenv("CLIMRISK_DATA", str(tmp_path / "data"))
        home = tmp_path / "data" / "home.toml"
        with served(Settings(home=home, logs=tmp_path / "logs", workers=1)) as url:
            page = walk(size)
            page.add_init_script(f"({COUNT_TAPS})()")
            page.goto(url)
            page.locator("#f-town").press_sequentially("Vienn", delay=10)
            seen(page, "#town-options label:has-text('Austria')")
            page.get_by_role("button", name="Use this town").click()
            seen(page, "text=The best station is")
            page.get_by_role("button", name="Use it").click()
            page.wait_for_url("**/plants**")
            area(page, "Before buying")
            page.fill("#f-plant", "Masdevallia")
            page.get_by_role("button", name="Check it").click()
            seen(page, ".verdict")
            taps = page.evaluate("window.taps")
            counted(f"{taps} taps to the first answer of a home of one's own")
            assert taps < 10
            settled(page)
            assert read_home(home).weather.town == "Vienna,AT"


@SIZES
def test_tonight_from_a_forecast_to_what_is_saved(walk, own, size):
    """2. What must come in tonight, and what was carried is noted."""
    url, home = own
    page = walk(size)
    opened(page, f"{url}/tonight?words=2,+clear&as_of={TODAY}")
    carry = page.locator("h1.big").get_attribute("aria-label")
    assert re.fullmatch(r"Carry [1-9] in, cover \d, leave \d", carry)
    page.locator(".tick", has_text="Cymbidium").locator("input").check()
    page.get_by_role("button", name="Save what is done").click()
    seen(page, ".notice:has-text('Cymbidium')")
    settled(page)
    moved = [p.called for p in read_home(home).plant if p.moves]
    assert moved == ["Cymbidium, standard hybrids"]
    assert page.locator("h1.big").get_attribute("aria-label") != carry
    # Only this one change is undone.
    page.get_by_role("button", name=re.compile("^Undo")).click()
    seen(page, ".notice:has-text('Undone')")
    assert not any(p.moves for p in read_home(home).plant)


@SIZES
def test_before_buying_by_keyboard_and_what_is_meant_is_asked(walk, own, size):
    """3. In the nursery: a name that covers several plants, then the right one."""
    url, _ = own
    page = walk(size)
    opened(page, f"{url}/check?{FEW}")
    page.locator("#f-plant").focus()
    page.keyboard.type("Paphiopedilum")
    page.keyboard.press("Enter")
    seen(page, ".choices")
    settled(page)
    first = page.locator(".choices a").first
    assert first.locator(".badge .shape").count() == 1
    first.focus()
    page.keyboard.press("Enter")
    seen(page, ".verdict")
    settled(page)
    assert page.locator(".tiles dd.value").count() == 3
    # Another spot, from the one line that repeats the question.
    before = page.locator(".verdict h1").inner_text()
    page.locator(".question > summary").focus()
    page.keyboard.press("Enter")
    page.locator(".picker > summary", has_text="Where it would stand").press("Enter")
    page.locator(".kind", has_text="One of my spots: window sill").click()
    said = page.locator(".picker > summary", has_text="Where it would stand")
    assert "Sill" in said.inner_text()
    page.locator(".question button.go").press("Enter")
    page.wait_for_url("**spot=sill**")
    seen(page, ".verdict")
    settled(page)
    assert page.locator(".verdict h1").inner_text() != before


@SIZES
def test_a_new_plant_waits_for_its_day(walk, own, size):
    """4. It was bought: may it go to its place now."""
    url, _ = own
    page = walk(size)
    opened(page, f"{url}/arrival?plant=Masdevallia&spot=shelf&{FEW}")
    assert page.locator("h1").inner_text().startswith(("Keep the", "Put the"))
    assert page.locator(".ranges .spot").count() == 7


@SIZES
def test_the_year_and_the_printed_list(walk, own, size):
    """5. and 10. The year as a ribbon, and the sheet for the wall on one page."""
    url, _ = own
    page = walk(size)
    opened(page, f"{url}/year?{FEW}")
    rows = page.locator(".collection .ribbon[role=img]")
    assert rows.count() >= 6
    said = rows.first.get_attribute("aria-label")
    assert re.search(r"\b(in|out|watch)\b", said, re.I)
    opened(page, f"{url}/print?{FEW}")
    page.emulate_media(media="print")
    pdf = page.pdf(format="A4")
    assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1


@SIZES
def test_after_a_cold_night(walk, own, size):
    """6. It was colder than thought: what to expect, and what to do now."""
    url, _ = own
    page = walk(size)
    area_page = f"{url}/cold?words=-3+at+06:00,+9+h+below+2&spot=balcony&{FEW}"
    opened(page, area_page)
    assert "frost" in page.locator("h1").inner_text()
    text = page.locator("main").inner_text()
    assert "Now" in text
    assert "Water" in text
    expected = page.locator(".tiles dd.value").all_inner_texts()[1]
    assert re.fullmatch(r"[1-9] of 4", expected), expected


@pytest.mark.long
@SIZES
def test_from_understand_to_the_best_spot_pot_and_remedy(walk, own, size):
    """7. Which spot, which pot, what helps: found without knowing their names."""
    url, _ = own
    page = walk(size)
    opened(page, f"{url}/tonight?words=9&as_of={TODAY}")
    page.locator(".areas .four a", has_text="Understand").click()
    seen(page, ".hub")
    changed(page, page.locator(".hub a", has_text="Spots").click)
    page.fill("#f-plant", "Masdevallia")
    page.get_by_role("button", name="Rank them").click()
    seen(page, ".ranked")
    settled(page)
    assert page.locator(".ranked .badge").count() == 5
    opened(page, f"{url}/pots?pot=glass&pot=terracotta&medium=sphagnum&{FEW}")
    assert page.locator(".tiles dd.value").count() == 3
    opened(page, f"{url}/help?plant=Masdevallia&spot=shelf&{FEW}")
    assert page.locator(".helps li").count() >= 3


@SIZES
def test_a_logger_is_read_and_calibrates_a_spot(walk, own, size, tmp_path):
    """8. A logger's file with its town, without coordinates."""
    url, _ = own
    # Files of the same content are one file under the name that came first.
    made = truth("2021-01-01", 24 * (40 if size[0] == 360 else 41))
    path = logger_csv(tmp_path / f"shelf{size[0]}.csv", made)
    page = walk(size)
    opened(page, f"{url}/start")
    page.set_input_files("#f-file", str(path))
    page.fill("#f-logger-town", "Zadar, Croatia")
    page.get_by_role("button", name="Read the file").click()
    seen(page, ".tiles")
    settled(page)
    assert page.locator("h1").inner_text().endswith("is usable.")
    # It stands in the list of files from then on.
    opened(page, f"{url}/homes")
    assert page.locator(".items", has_text=path.name).count() >= 1
    opened(page, f"{url}/learn?demo=true&as_of={TODAY}")
    assert "than the station on calm nights" in page.locator("h1").inner_text()


@SIZES
def test_the_winter_looked_back_on(walk, own, size):
    """9. How cold was it, was it predicted, and how good is the record."""
    url, _ = own
    page = walk(size)
    opened(page, f"{url}/winter?plant=Masdevallia&spot=balcony&{FEW}")
    nights = page.locator(".tiles dt").first.inner_text()
    assert nights.startswith("Nights below")
    opened(page, f"{url}/review?demo=true&plants=Masdevallia&{FEW}")
    assert page.locator("h1").inner_text().startswith("Winter")
    opened(page, f"{url}/weather?{FEW.split('&')[0]}&as_of={TODAY}")
    assert page.locator(".bars rect").count() >= 12


@SIZES
def test_the_sample_home_shows_a_chart_and_the_way_back(walk, own, size):
    """Looking around first never leads away from one's own home."""
    url, _ = own
    page = walk(size)
    opened(page, f"{url}/start")
    seen(page, "#sample .strip")
    page.get_by_role("link", name="Open the sample home").click()
    seen(page, "h1")
    back = page.get_by_role("link", name="Back to my home").locator("visible=true")
    back.first.click()
    page.wait_for_url(re.compile(r"/plants$"))
