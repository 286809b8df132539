"""My plants in a real browser: a grower adds, moves, carries, undoes and prints."""

from __future__ import annotations

import re
import time
from itertools import product
from urllib.parse import urlsplit

import pytest

from climrisk.home import demo_home_text, read_home
from tests.page.conftest import TODAY, served_home
from tests.page.findings import SMALL, axe_findings
from tests.page.screenshots import own_home
from tests.page.waiting import changed, seen, settled
from tests.quick import but_quick

pytestmark = pytest.mark.browser
FEW = f"years=6&members=2&as_of={TODAY}"
PHONE, TABLET, DESK = (360, 740), (768, 1024), (1280, 900)
SIZES = pytest.mark.parametrize(
    "size", [PHONE, pytest.param(DESK, marks=pytest.mark.long)], ids=["360", "1280"]
)
#: A phone with script; in the long run a wide screen, and both without script.
BOTH_WAYS = pytest.mark.parametrize(
    ("size", "script"),
    but_quick(product((PHONE, DESK), (True, False)), (PHONE, True)),
    ids=["360-script", "360-plain", "1280-script", "1280-plain"],
)
MIXED = """\
- 3 Phal., balcony
Cattleya
moth orchid x 2 on the terrace
qwertz uiop
"""


@pytest.fixture(scope="module")
def page_of_own(tmp_path_factory):
    folder = tmp_path_factory.mktemp("own")
    with served_home(folder, "# Mine.\n" + demo_home_text()) as page:
        yield page


@pytest.fixture
def own(page_of_own):
    url, anew = page_of_own
    return url, anew()


@pytest.fixture
def look(chromium):
    """Return a function that opens a page; it must stay quiet and on this machine."""
    contexts, said, requests = [], [], []

    def open_page(size=DESK, **options):
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]},
            **{"locale": "en-GB", "reduced_motion": "reduce", **options},
        )
        context.set_default_timeout(30_000)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda m: said.append(m.text))
        page.on("pageerror", lambda e: said.append(str(e)))
        page.on("request", lambda r: requests.append(r.url))
        return page

    yield open_page
    for context in contexts:
        context.close()
    # A form that was sent with a fault is answered with 422, which Chromium reports.
    assert [s for s in said if "422" not in s] == []
    assert {urlsplit(url).hostname for url in requests} == {"127.0.0.1"}


def plants(page, url, more=""):
    page.goto(f"{url}/plants?{FEW}{more}")
    seen(page, ".collection .twelve .ribbon")


def names(home):
    return [p.called for p in read_home(home).plant]


def row(page, name):
    return page.locator("li.row", has=page.locator(f".name b:text-is('{name}')"))


@SIZES
def test_a_plant_is_added_by_any_name_with_its_spot_chosen_from_drawings(
    own, look, size
):
    url, home = own
    page = look(size)
    plants(page, url)
    page.get_by_label("Add a plant").press_sequentially("lemon tree", delay=20)
    # It says what the name means while it is typed.
    seen(page, "#meant .meant:has-text('Citrus, lemon and lime')")
    page.keyboard.press("Enter")
    page.wait_for_url("**/plants/add?**")
    assert page.locator("h1").inner_text() == "Where does it stand?"
    page.locator(".kind", has_text="Shelf").first.click()
    page.get_by_label("Inner diameter").fill("9 in")
    page.locator("summary", has_text="Kind of pot").click()
    page.locator(".kind", has_text="Choose this if it is bare clay").click()
    page.locator("summary", has_text="Medium").click()
    page.locator(".kind", has_text="Choose this if it is ordinary potting soil").click()
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, ".notice:has-text('lemon tree added on shelf')")
    added = read_home(home).plant[-1]
    assert added.name == "Citrus, lemon and lime"
    assert (added.label, added.spot, added.pot) == ("lemon tree", "shelf", "terracotta")
    assert added.medium == "peat-mix"
    assert added.pot_diameter_cm == 22.86
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]
    page.get_by_role("button", name=re.compile("^Undo adding")).click()
    seen(page, ".notice:has-text('Undone: lemon tree added')")
    assert home.read_text("utf-8") == "# Mine.\n" + demo_home_text()


@pytest.mark.parametrize("script", [True, False], ids=["script", "plain"])
def test_a_name_that_means_several_plants_is_asked_about_and_kept(own, look, script):
    url, home = own
    page = look(PHONE, java_script_enabled=script)
    page.goto(f"{url}/plants/add?name=Cattleya")
    requested = page.locator("#meant .options")
    assert requested.locator("legend").inner_text() == "Which one is it?"
    assert requested.locator("label").count() > 3
    page.locator(".kind", has_text="Balcony").first.click()
    page.get_by_label("How many").fill("0")
    page.locator("#meant label", has_text="Guarianthe").first.click()
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, ".fault")
    # What was entered is still there, and so is the answer.
    assert "number of plants" in page.locator(".fault").inner_text()
    assert page.locator("#f-name").input_value() == "Cattleya"
    assert page.locator("#meant input:checked").input_value() == "Guarianthe"
    assert page.locator(".picks input:checked").input_value() == "balcony"
    page.get_by_label("How many").fill("2")
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, ".notice")
    added = read_home(home).plant[-1]
    assert (added.name, added.label, added.count) == ("Guarianthe", "Cattleya", 2)


def test_an_unknown_name_offers_near_ones_and_keeps_the_entry(own, look):
    url, home = own
    before = home.read_text("utf-8")
    page = look(PHONE)
    page.goto(f"{url}/plants/add?name=blu+vanda")
    page.locator(".kind", has_text="Shelf").first.click()
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, "#meant .options")
    assert page.locator("#f-name").input_value() == "blu vanda"
    assert "Did you mean" in page.locator("#meant").inner_text()
    assert home.read_text("utf-8") == before
    page.locator("#meant label", has_text="blue vanda").first.click()
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, ".notice")
    added = read_home(home).plant[-1]
    assert (added.name, added.label) == (
        "Vanda coerulea and V. cristata type",
        "blue vanda",
    )


@BOTH_WAYS
def test_a_plant_is_carried_edited_moved_and_removed(own, look, size, script):
    url, home = own
    page = look(size, java_script_enabled=script)
    page.goto(f"{url}/plants?{FEW}")
    for _ in range(60):
        if page.locator(".collection .twelve .ribbon").count():
            break
        page.wait_for_timeout(500)
        page.goto(f"{url}/plants?{FEW}")
    late = row(page, "Phalaenopsis")
    assert "since" in late.locator(".next").inner_text()
    late.locator("summary").click()
    late.locator(".open").get_by_role("button", name="Inside now").click()
    seen(page, ".notice:has-text('carried in to sill')")
    assert [m.to for m in read_home(home).plant[0].moves] == ["sill"]
    row(page, "Phalaenopsis").locator("summary").click()
    row(page, "Phalaenopsis").get_by_role("link", name="Edit").click()
    page.get_by_label("What you call it").fill("the white one")
    page.get_by_role("button", name="Save").click()
    seen(page, ".notice:has-text('the white one changed')")
    edited = read_home(home).plant[0]
    assert (edited.label, edited.count, edited.medium) == (
        "the white one",
        3,
        "expanded-clay",
    )
    assert len(edited.moves) == 1
    page.goto(f"{url}/plants?{FEW}")
    row(page, "the white one").locator("summary").click()
    row(page, "the white one").get_by_role("link", name="Move").click()
    page.locator(".kind", has_text="Walkway").click()
    page.get_by_label("For good").check()
    page.get_by_role("button", name="Move it").click()
    seen(page, ".notice:has-text('moved to walkway')")
    assert read_home(home).plant[0].spot == "walkway"
    assert [m.to for m in read_home(home).plant[0].moves] == ["sill", "walkway"]
    page.goto(f"{url}/plants?{FEW}")
    row(page, "the white one").locator("summary").click()
    row(page, "the white one").get_by_role("button", name="Remove").click()
    seen(page, ".notice:has-text('the white one removed')")
    assert "the white one" not in names(home)
    page.get_by_role("button", name=re.compile("^Undo removal")).click()
    seen(page, ".notice:has-text('Undone')")
    assert names(home)[0] == "the white one"
    assert "# Mine." in home.read_text("utf-8")


def test_each_tab_undoes_its_own_change(own, look):
    url, home = own
    before = home.read_text("utf-8")
    one, two = look(), look()
    for page, name in ((one, "Clivia miniata"), (two, "Miltoniopsis")):
        page.goto(f"{url}/plants/add?name={name}&spot=shelf")
    one.get_by_role("button", name="Add to my plants").click()
    seen(one, ".notice")
    two.get_by_role("button", name="Add to my plants").click()
    seen(two, ".notice")
    assert names(home)[-2:] == ["Clivia miniata", "Miltoniopsis"]
    one.get_by_role("button", name=re.compile("^Undo adding.*Clivia")).click()
    seen(one, ".notice:has-text('Undone: Clivia')")
    assert names(home)[-1] == "Miltoniopsis"
    assert "Clivia miniata" not in names(home)
    two.get_by_role("button", name=re.compile("^Undo adding.*Milton")).click()
    seen(two, ".notice:has-text('Undone: Milton')")
    assert home.read_text("utf-8") == before


def test_a_form_that_is_sent_twice_is_done_once(own, look):
    url, home = own
    page = look()
    page.goto(f"{url}/plants/add?name=Miltoniopsis&spot=shelf")
    form = {
        "once": page.locator("[name=once]").input_value(),
        "name": "Miltoniopsis",
        "spot": "shelf",
    }
    sent = [
        page.request.post(f"{url}/plants/add", form=form, max_redirects=0)
        for _ in range(2)
    ]
    assert [answer.status for answer in sent] == [303, 303]
    assert sent[0].headers["location"] == sent[1].headers["location"]
    assert names(home).count("Miltoniopsis") == 1


@pytest.mark.long
def test_of_two_equal_plants_a_late_tab_removes_neither(own, look):
    url, home = own
    equal = '\n[[plant]]\nname = "Masdevallia"\nspot = "shelf"\n'
    home.write_text(home.read_text("utf-8") + equal + equal, "utf-8")
    one, two = look(), look()
    for page in (one, two):
        plants(page, url, "&sort=name")
        row(page, "Masdevallia").first.locator("summary").click()
    shown = one.get_by_role("button", name=re.compile("^Remove ?: Masdevallia"))
    assert shown.first.text_content() == "Remove: Masdevallia (shelf), no. 1"
    shown.first.click()
    seen(one, ".notice:has-text('Masdevallia removed')")
    two.get_by_role("button", name=re.compile("^Remove ?: Masdevallia")).first.click()
    seen(two, ".fault:has-text('changed or removed meanwhile')")
    assert names(home).count("Masdevallia") == 1


@BOTH_WAYS
def test_a_pasted_list_is_shown_as_it_is_understood_before_it_is_added(
    own, look, size, script
):
    url, home = own
    before = home.read_text("utf-8")
    page = look(size, java_script_enabled=script)
    page.goto(f"{url}/plants/paste")
    page.get_by_label("Your list").fill(MIXED)
    changed(page, page.get_by_role("button", name="Show how it is read").click)
    rows = page.locator(".understood-rows li")
    assert rows.count() == 4
    assert "Phalaenopsis hybrids" in rows.nth(0).inner_text()
    assert "3 pots · balcony" in rows.nth(0).inner_text()
    assert page.locator(".unsure").count() == 2
    assert page.locator("h1").inner_text() == "2 lines need a look"
    # Nothing is added while a line is open; what was said stays.
    page.get_by_label("Lines without a spot").select_option("shelf")
    page.get_by_role("button", name="Add these 4 lines").click()
    seen(page, ".fault:has-text('line 2')")
    assert home.read_text("utf-8") == before
    assert page.get_by_label("Lines without a spot").input_value() == "shelf"
    page.get_by_label("Which one is “Cattleya”?").select_option("Guarianthe")
    page.get_by_label("“terrace” is").select_option("walkway")
    page.locator("label", has_text="Leave out line 4").click()
    page.get_by_role("button", name="Add these 4 lines").click()
    seen(page, ".notice:has-text('6 plants added')")
    added = read_home(home).plant[-3:]
    assert [(p.name, p.spot, p.count, p.label) for p in added] == [
        ("Phalaenopsis hybrids", "balcony", 3, "Phal."),
        ("Guarianthe", "shelf", 1, "Cattleya"),
        ("Phalaenopsis hybrids", "walkway", 2, "moth orchid"),
    ]
    page.get_by_role("button", name=re.compile("^Undo adding")).click()
    seen(page, ".notice:has-text('Undone')")
    assert home.read_text("utf-8") == before


def test_a_file_that_was_exported_is_read_back(own, look, tmp_path):
    url, home = own
    page = look()
    table = page.request.get(f"{url}/collection.csv").text()
    file = tmp_path / "plants.csv"
    file.write_text(table, "utf-8")
    page.goto(f"{url}/plants/paste")
    page.get_by_label("Or a CSV file").set_input_files(str(file))
    changed(page, page.get_by_role("button", name="Show how it is read").click)
    assert page.locator(".understood-rows li").count() == len(names(home))
    assert page.locator(".unsure").count() == 0
    page.get_by_role("button", name=re.compile("^Add these")).click()
    seen(page, ".notice")
    plant = read_home(home).plant
    half = len(plant) // 2
    assert [p.model_dump() for p in plant[:half]] == [
        p.model_dump() for p in plant[half:]
    ]


@SIZES
def test_a_spot_is_added_by_pictures_renamed_and_removed(own, look, size):
    url, home = own
    page = look(size)
    page.goto(f"{url}/plants/spots")
    changed(page, page.get_by_role("link", name="Add a spot or room").click)
    assert page.locator("fieldset").first.locator(".kind").count() == 12
    page.locator(".kind", has_text="Choose this if it is indoors without").click()
    # Where the sun comes in does not matter in a dark room.
    assert not page.locator("fieldset.facing").is_visible()
    page.locator(".kind", has_text="Choose this if nothing is above").first.click()
    page.locator(".kind", has_text="South-east").click()
    page.locator(".kind", has_text="Choose this if a roof reaches about half").click()
    page.get_by_label("What you call it").fill("rail")
    page.get_by_role("button", name="Add this spot").click()
    seen(page, ".notice:has-text('Spot rail added')")
    spot = read_home(home).spot_named("rail")
    assert (spot.kind, spot.facing, spot.eaves) == ("open-rail", "SE", 0.5)
    changed(page, page.get_by_role("link", name="Edit balcony").click)
    assert page.locator("fieldset").first.locator("input:checked").input_value() == (
        "roofed-balcony"
    )
    page.get_by_label("What you call it").fill("terrace")
    page.get_by_role("button", name="Save").click()
    seen(page, ".notice:has-text('Spot balcony is now called terrace')")
    assert {p.spot for p in read_home(home).plant} >= {"terrace", "shelf"}
    place = page.locator(".place", has=page.locator("h2:text-is('Terrace')"))
    place.locator("summary").click()
    place.get_by_label("Its plants go to").select_option("rail")
    place.get_by_role("button", name="Remove terrace").click()
    seen(page, ".notice:has-text('Spot terrace removed')")
    left = read_home(home)
    assert not left.knows_spot("terrace")
    assert left.plant[0].spot == "rail"
    page.get_by_role("button", name=re.compile("^Undo removal")).click()
    seen(page, ".notice:has-text('Undone')")
    assert read_home(home).plant[0].spot == "terrace"


def test_the_list_is_filtered_sorted_and_searched(own, look):
    url, _ = own
    page = look()
    plants(page, url)
    assert page.locator("li.row").count() == 6
    page.get_by_role("link", name=re.compile("^Shelf")).click()
    seen(page, ".chip[aria-current]:has-text('Shelf')")
    assert page.locator("li.row").count() == 3
    assert all("shelf" in n for n in page.locator("li.row .name").all_inner_texts())
    page.locator(".sorter summary").click()
    changed(page, page.get_by_role("link", name="Name", exact=True).click)
    shown = page.locator("li.row .name b").all_inner_texts()
    assert shown == sorted(shown)
    assert len(shown) == 3
    page.locator(".sorter summary").click()
    page.get_by_label("Find").fill("vanda")
    changed(page, page.get_by_role("button", name="Find").click)
    assert page.locator("li.row .name b").all_inner_texts() == ["Vanda falcata"]


def test_a_plant_has_a_page_with_year_limits_sources_remedies_and_history(own, look):
    url, _ = own
    page = look()
    plants(page, url)
    row(page, "Cattleya, standard").locator("summary").click()
    row(page, "Cattleya, standard").locator(".open").get_by_role(
        "button", name="Inside now"
    ).click()
    seen(page, ".notice")
    page.goto(f"{url}/plants?{FEW}")
    seen(page, ".collection .twelve .ribbon")
    row(page, "Cattleya, standard").locator("summary").click()
    link = row(page, "Cattleya, standard").get_by_role(
        "link", name=re.compile("^Its page")
    )
    page.goto(url + link.get_attribute("href") + f"&{FEW}")
    seen(page, ".one-year .ribbon")
    text = " ".join(page.locator("main").inner_text().split())
    assert "Prefers nights of 13 °C" in text
    # The year in words begins today, and its nights take the ribbon's place.
    assert re.search(r"\b(In|Out|Watch) now, then ", text)
    seen(page, ".strip")
    assert page.locator(".one-year .ribbon").count() == 0
    assert page.locator(".plotgrid .ribbon").count() == 1
    assert page.locator("#limits ~ .pairs dd").first.inner_text().strip()
    assert "to sill" in page.locator(".history").inner_text()
    seen(page, ".helped", 120_000)
    assert page.locator(".helped .helps li").count() >= 1
    answer = page.get_by_role("link", name="Its full answer").get_attribute("href")
    assert "plant=Cattleya" in answer
    assert "spot=balcony" in answer


def test_what_was_checked_is_bought_with_its_pot(own, look):
    url, home = own
    page = look()
    page.goto(
        f"{url}/check?plant=Masdevallia&spot=shelf&pot=terracotta&pot_diameter=9"
        f"&medium=sphagnum&{FEW}"
    )
    page.get_by_role("button", name="I bought it").click(timeout=90_000)
    page.wait_for_url("**/plants/add?**")
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, ".notice:has-text('Masdevallia added on shelf')")
    bought = read_home(home).plant[-1]
    assert (bought.name, bought.spot) == ("Masdevallia", "shelf")
    assert (bought.pot, bought.pot_diameter_cm) == ("terracotta", 9.0)
    assert bought.medium == "sphagnum"


def test_degrees_and_lengths_are_the_readers(own, look):
    url, home = own
    page = look(locale="en-US")
    plants(page, url)
    row(page, "Cattleya, standard").locator("summary").click()
    # 13 and 7 °C.
    text = " ".join(
        row(page, "Cattleya, standard").locator(".open").inner_text().split()
    )
    assert "Prefers nights of 55 °F or more and tolerates 45 °F" in text
    assert "°C" not in page.locator("main").text_content()
    page.goto(f"{url}/plants/add?name=Cattleya")
    assert "°C" not in page.locator("main").text_content()
    assert "°F" in page.locator("#meant").inner_text()
    assert not re.search("[\ue000-\uf8ff]", page.locator("main").text_content())
    page.locator("#meant label").first.click()
    page.locator(".kind", has_text="Shelf").first.click()
    page.get_by_label("Inner diameter").fill("5")
    page.get_by_role("button", name="Add to my plants").click()
    seen(page, ".notice")
    # A bare number is in inches.
    assert read_home(home).plant[-1].pot_diameter_cm == 12.7
    page.goto(f"{url}/print?{FEW}")
    seen(page, ".moving .trip")
    assert "°C" not in page.locator("main").text_content()
    page.goto(f"{url}/print?labels=1&{FEW}")
    seen(page, "table.labels")
    assert "°C" not in page.locator("main").text_content()
    assert "°F" in page.locator("table.labels").inner_text()


def test_the_downloads_say_what_the_page_says(own, look):
    url, _ = own
    page = look()
    plants(page, url)
    page.locator("summary", has_text="Calendar, tables and export").click()
    address = page.get_by_label("Subscription address").input_value()
    assert address.startswith("http://127.0.0.1:")
    assert address.endswith("/calendar.ics?years=6")
    moves = page.request.get(f"{url}/plants/moves.ics?{FEW}")
    assert moves.headers["content-type"].startswith("text/calendar")
    assert "attachment" in moves.headers["content-disposition"]
    assert moves.text().count("BEGIN:VEVENT") > 3
    year = page.request.get(f"{url}/plants/year.csv?{FEW}").text().splitlines()
    assert len(year) == 1 + 6
    assert year[0].startswith("plant,label,count,spot")


BOXES = """() => {
  const out = [];
  for (const area of document.querySelectorAll('.ribbon, .months, .todayrow')) {
    const frame = area.getBoundingClientRect();
    const texts = [...area.querySelectorAll('text')]
      .map(t => [t.textContent, t.getBoundingClientRect()])
      .filter(([, b]) => b.width > 0);
    const line = area.querySelector('.s-today');
    const at = line ? line.getBoundingClientRect() : null;
    texts.forEach(([name, a], i) => {
      if (!area.classList.contains('todayrow')
          && (a.left < frame.left - .5 || a.right > frame.right + .5))
        out.push(`${name} is cut off`);
      if (a.left < 0 || a.right > innerWidth) out.push(`${name} leaves the page`);
      if (at && at.left > a.left - .5 && at.left < a.right + .5)
        out.push(`${name} stands on today`);
      texts.slice(i + 1).forEach(([other, b]) => {
        if (a.left < b.right - .5 && b.left < a.right - .5)
          out.push(`${name} on ${other}`);
      });
    });
    const stays = [...area.querySelectorAll('rect')]
      .map(r => r.getBoundingClientRect());
    texts.forEach(([name, a]) => {
      const fits = s => s.left <= a.left + .5 && s.right >= a.right - .5;
      if (stays.length && !stays.some(fits))
        out.push(`${name} does not fit its stretch`);
    });
  }
  return out;
}"""
WORDS = """() => [...document.querySelectorAll('li.row')].flatMap(row => {
  const words = e => { const r = document.createRange(); r.selectNodeContents(e);
    return r.getBoundingClientRect(); };
  const boxes = ['.name b', '.name span', '.next b', '.next span', '.twelve svg',
    '.quick button', '.arrow']
    .map(s => [s, row.querySelector(s)]).filter(([, e]) => e && e.checkVisibility())
    .map(([s, e]) => [s, e.matches('b, span:not(.arrow)') ? words(e)
      : e.getBoundingClientRect()]);
  return boxes.flatMap(([s, a], i) => boxes.slice(i + 1).filter(([, b]) =>
    a.left < b.right - .5 && b.left < a.right - .5 && a.top < b.bottom - .5
    && b.top < a.bottom - .5).map(([t]) => `${s} on ${t}`));
})"""


@pytest.mark.parametrize(
    ("size", "day"),
    but_quick(
        product((PHONE, TABLET, DESK), ("2026-11-01", TODAY, "2026-09-30")),
        *((PHONE, TODAY),),
    ),
)
def test_no_label_of_the_ribbons_covers_another_or_is_cut_off(own, look, size, day):
    url, home = own
    many = "".join(
        f'\n[[plant]]\nname = "{name}"\nspot = "{spot}"\n'
        for name, spot in (
            ("Masdevallia", "walkway"),
            ("Citrus, lemon and lime", "balcony"),
            ("Clivia", "shelf"),
            ("Vanda coerulea", "walkway"),
            ("Oncidium, cool Andean (formerly Odontoglossum), Cyrtochilum", "shelf"),
            ("Paphiopedilum, mottled-leaved", "sill"),
        )
    )
    home.write_text(home.read_text("utf-8") + many, "utf-8")
    page = look(size)
    page.goto(f"{url}/plants?years=6&members=2&as_of={day}")
    seen(page, ".collection .twelve .ribbon")
    assert page.locator(".ribbon text:visible").count() > 10
    assert page.evaluate(BOXES) == []
    assert page.evaluate(WORDS) == []
    # The twelve months begin with this one, and today stands on its date.
    first = page.locator(".months text").first
    assert first.text_content().startswith("Nov" if "-11-" in day else "Sep")
    # Names of one letter on a phone have different widths; their middles do not.
    assert page.evaluate("document.documentElement.scrollWidth") <= size[0]


@pytest.mark.parametrize(
    ("size", "scheme"),
    but_quick(
        [(PHONE, "light"), (PHONE, "dark"), (TABLET, "light"), (DESK, "dark")],
        *((PHONE, "dark"),),
    ),
    ids=["phone", "phone-dark", "tablet", "desk-dark"],
)
@pytest.mark.long
def test_every_page_of_my_plants_fits_and_axe_finds_nothing(own, look, size, scheme):
    url, _ = own
    page = look(size, bypass_csp=True, color_scheme=scheme)
    plants(page, url)
    page.locator("details.plant summary").nth(1).click()
    link = page.locator(".plant a", has_text="Its page").first.get_attribute("href")
    move = page.locator(".plant a", has_text="Move").first.get_attribute("href")
    edit = page.locator(".plant a", has_text="Edit").first.get_attribute("href")
    paths = [None, f"{link}&{FEW}", move, edit, "/plants/add?name=Cattleya"]
    paths += ["/plants/paste", "/plants/spots", "/plants/spot", f"/print?{FEW}"]
    paths += [f"/print?labels=1&{FEW}", f"/year?{FEW}"]
    for path in paths:
        if path is not None:
            page.goto(url + path)
            settled(page)
        for summary in page.locator("main details:not([name]) > summary").all():
            if not summary.evaluate("e => e.parentNode.open"):
                summary.click()
        assert page.evaluate("document.documentElement.scrollWidth") <= size[0], path
        assert axe_findings(page) == [], path
        if size == PHONE:
            assert page.evaluate(SMALL) == [], path


def test_the_moving_list_prints_on_one_page(own, look):
    url, _ = own
    page = look()
    page.goto(f"{url}/print?{FEW}")
    seen(page, ".moving .trip")
    pdf = page.pdf(format="A4", prefer_css_page_size=True)
    assert len(re.findall(rb"/Type\s*/Page[^s]", pdf)) == 1
    page.emulate_media(media="print")
    shown = page.locator(".areas, .top, .buttons, .tabs")
    assert not any(one.is_visible() for one in shown.all())
    assert page.locator(".moving .box:visible").count() >= 10


@pytest.mark.slow
def test_a_long_list_begins_on_a_phone_with_what_is_due(own, look):
    url, home = own
    home.write_text(own_home(), "utf-8")
    page = look(PHONE)
    plants(page, url)
    seen(page, "#g-later:not([open])")
    assert page.locator("li.row").count() == 18
    assert page.locator("#g-late li.row:visible").count() > 5
    assert page.evaluate("document.documentElement.scrollHeight") <= 2500
    # What is opened stays open when something else on the page changes.
    page.locator("#g-later > summary").click()
    page.get_by_label("Add a plant").press_sequentially("lemon", delay=20)
    seen(page, "#meant .meant, #meant .options")
    assert page.locator("#g-later li.row").first.is_visible()
    page.goto(f"{url}/print?{FEW}")
    seen(page, ".moving .trip")
    assert "Made for 25 Nov 2026." in page.locator(".moving .sub").inner_text()
    page.emulate_media(media="print")
    for paper in ("A4", "Letter"):
        pdf = page.pdf(format=paper)
        assert len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf)) == 1
    page.emulate_media(media="screen")
    page.goto(f"{url}/tonight?words=4,+clear&as_of={TODAY}")
    seen(page, "h1.big")
    assert page.locator(".tick input").count() > 6
    assert page.evaluate("document.documentElement.scrollHeight") <= 2500


def test_buttons_that_need_a_script_come_with_an_answer_that_was_waited_for(own, look):
    url, _ = own
    page = look(DESK)
    page.goto(f"{url}/print?years=9&labels=1&as_of={TODAY}")
    seen(page, "table.labels")
    seen(page, "[data-do=print]:visible")


@pytest.mark.long
def test_three_hundred_plants(own, look, counted):
    """Load, add and move; the times are printed and decide nothing."""
    url, home = own
    kinds = (
        *("Phalaenopsis hybrids", "Masdevallia", "Cymbidium, standard hybrids"),
        *("Cattleya, standard large-flowered hybrids", "Clivia", "Miltoniopsis"),
        *("Dendrobium nobile type", "Vanda falcata (Neofinetia)"),
    )
    spots = ("balcony", "shelf", "walkway")
    head = demo_home_text().partition("[[plant]]")[0]
    rows = "".join(
        f'\n[[plant]]\nname = "{kinds[k % 8]}"\nspot = "{spots[k % 3]}"\n'
        f'label = "no. {k}"\npot_diameter_cm = {10 + k % 6}\n'
        for k in range(300)
    )
    home.write_text(head + rows, "utf-8")
    page = look()
    page.goto(f"{url}/plants?as_of={TODAY}")
    seen(page, ".collection .twelve .ribbon", 120_000)
    times, sizes = {}, {}

    def clocked(what, act, wait):
        begun = time.perf_counter()
        act()
        seen(page, wait)
        times[what] = time.perf_counter() - begun

    clocked("load", page.reload, ".collection .twelve .ribbon")
    assert page.locator("li.row").count() == 300
    page.goto(f"{url}/plants/add?name=Masdevallia&spot=shelf")
    add = page.get_by_role("button", name="Add to my plants")
    clocked("add", add.click, ".notice:has-text('Masdevallia added')")
    clocked("then its dates", lambda: None, ".collection .twelve .ribbon")
    assert page.locator("li.row").count() == 301
    page.goto(f"{url}/plants?as_of={TODAY}&sort=name")
    seen(page, ".collection .twelve .ribbon")
    row(page, "no. 7").locator("summary").click()
    row(page, "no. 7").get_by_role("link", name="Move").click()
    page.locator(".kind", has_text="Walkway").click()
    page.get_by_label("For good").check()
    move = page.get_by_role("button", name="Move it")
    clocked("move", move.click, ".notice:has-text('no. 7 moved')")
    raw = page.request.get(
        f"{url}/plants?as_of={TODAY}", headers={"Accept-Encoding": "gzip"}
    )
    sizes["page kB"] = len(raw.body()) / 1000
    sizes["sent kB"] = int(raw.headers.get("content-length", 0)) / 1000
    counted(
        "300 plants: "
        + ", ".join(f"{k} {v:.2f} s" for k, v in times.items())
        + "; "
        + ", ".join(f"{k} {v:.0f}" for k, v in sizes.items())
    )
