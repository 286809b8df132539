"""Pages in a real browser: no request, no foreign script, phone width, print."""

from __future__ import annotations

import json
import re
import struct
from datetime import date

import pytest

from climrisk.cli.main import main
from climrisk.commands.assess.compute import assess
from climrisk.commands.assess.page import assess_sheet
from climrisk.commands.assess.page import exports as assess_exports
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.winter.compute import winter
from climrisk.commands.winter.page import exports as winter_exports
from climrisk.render.charts.chart import to_plotly
from climrisk.render.page import render
from climrisk.spot.kinds import spot_kind
from climrisk.weather.synthetic import demo_weather
from tests.asking import question
from tests.quick import but_quick, shorten_demo

TODAY = date(2026, 11, 25)
EVIL = "<script>document.title='taken'</script><img src=x onerror=alert(1)> & \"Söhne\""


@pytest.fixture(scope="module")
def assessed():
    request = question(
        "Phalaenopsis hybrids",
        spot="roofed-balcony",
        pot={},
        today=TODAY,
        members=3,
    )
    return assess(demo_weather(), request)


@pytest.fixture(scope="module")
def report(tmp_path_factory):
    folder = tmp_path_factory.mktemp("demo")
    with pytest.MonkeyPatch.context() as patch:
        shorten_demo(patch)
        assert main(["demo", "--out", str(folder), "--as-of", "2026-11-25"]) == 0
    return folder / "report.html"


@pytest.fixture
def opened(chromium):
    """Return a function that opens a file and reports what the browser said."""
    contexts = []

    def open_page(path, width=1100, height=900, **options):
        context = chromium.new_context(
            viewport={"width": width, "height": height}, **options
        )
        contexts.append(context)
        page = context.new_page()
        said: list[str] = []
        requests: list[str] = []
        page.on("console", lambda m: said.append(m.text))
        page.on("pageerror", lambda e: said.append(str(e)))
        page.on("request", lambda r: requests.append(r.url))
        page.goto(path.as_uri())
        page.wait_for_function(
            "document.querySelectorAll('.plot').length"
            " === document.querySelectorAll('.plot .main-svg:first-child').length"
        )
        return page, said, requests

    yield open_page
    for context in contexts:
        context.close()


@pytest.mark.browser
def test_report_opens_from_a_file_and_asks_for_nothing(opened, report):
    page, said, requests = opened(report)
    assert said == []
    assert requests == [report.as_uri()]
    assert page.locator(".plot .main-svg").count() >= 5
    assert page.locator("h1").inner_text() == "A flat in Veladrag"
    # The plot library's own tools and logo are off.
    assert page.locator(".modebar-btn").count() == 0
    assert report.stat().st_size < 2_000_000


@pytest.mark.browser
@pytest.mark.parametrize("width", but_quick([360, 768, 1100], 360))
def test_nothing_scrolls_sideways(opened, report, width):
    page, _, _ = opened(report, width=width)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.browser
def test_a_long_table_stays_one_line_a_row_on_a_phone(opened, report):
    page, _, _ = opened(report, width=360)
    page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
    nights = page.locator("table", has_text="7 Nov 2024").last
    row = nights.locator("tbody tr").nth(6)
    assert row.bounding_box()["height"] < 40
    assert nights.locator("thead").is_visible()
    # The night stays in sight while its numbers move past it.
    nights.evaluate("e => e.parentElement.scrollLeft = 200")
    assert row.locator("td").first.bounding_box()["x"] >= 0
    assert page.evaluate("document.documentElement.scrollWidth") <= 360


@pytest.mark.browser
@pytest.mark.parametrize("width", [360, 1100])
@pytest.mark.long
def test_labels_stay_inside_the_picture_and_off_each_other(opened, report, width):
    page, _, _ = opened(report, width=width, height=740)
    outside = page.evaluate("""() => {
        const out = [];
        for (const plot of document.querySelectorAll('.plot')) {
            const box = plot.getBoundingClientRect();
            const boxes = [];
            for (const text of plot.querySelectorAll('.annotation-text')) {
                const t = text.getBoundingClientRect();
                if (!t.width) continue;
                boxes.push([t, text.textContent]);
                if (t.right > box.right + 2 || t.left < box.left - 2) {
                    out.push(text.textContent);
                }
            }
            for (const [a, one] of boxes) for (const [b, other] of boxes) {
                const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
                const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
                if (one < other && wide > 2 && high > 2) {
                    out.push(one + ' over ' + other);
                }
            }
        }
        return out;
    }""")
    assert outside == []


@pytest.mark.browser
def test_every_picture_is_named_and_its_numbers_stand_in_a_table(opened, report):
    page, _, _ = opened(report)
    for plot in page.locator(".plot").all():
        name = plot.get_attribute("aria-labelledby")
        assert page.locator(f"#{name}").inner_text().strip()
    # Week by week numbers of the strip are behind a summary that the keyboard opens.
    summary = page.locator("summary", has_text="Night minima by week").first
    summary.focus()
    page.keyboard.press("Enter")
    assert page.locator("details[open] tbody tr").count() == 52


@pytest.mark.browser
@pytest.mark.long
def test_print_shows_states_without_color(opened, report, tmp_path):
    page, _, _ = opened(report)
    page.emulate_media(media="print")
    looks = {
        state: page.locator(f"td.{state}").first.evaluate(
            "e => { const s = getComputedStyle(e); return [s.backgroundColor,"
            " s.borderTopStyle, s.borderTopWidth, s.outlineStyle, e.innerText] }"
        )
        for state in ("in", "watch", "out")
    }
    paper, border, _, _, words = looks["in"]
    assert (paper, border) == ("rgb(255, 255, 255)", "solid")
    assert words.split()[0] == "in"
    # No two states share their lines, and each says its word.
    assert len({tuple(look[1:4]) for look in looks.values()}) == 3
    assert looks["watch"][4] == "watch"
    assert looks["out"][4] == "out"
    sheet = page.pdf(format="A4")
    assert sheet.startswith(b"%PDF-")


@pytest.mark.browser
def test_names_from_users_are_text_and_never_markup(opened, assessed, tmp_path):
    plant = assessed.plant.model_copy(update={"name": EVIL, "asked": EVIL})
    words = assessed.verdict.model_copy(update={"sentence": f"{EVIL} suits."})
    result = assessed.model_copy(update={"plant": plant, "verdict": words})
    path = tmp_path / "evil.html"
    path.write_text(render(assess_sheet(result, TODAY)), "utf-8")
    page, said, requests = opened(path)
    assert said == []
    assert requests == [path.as_uri()]
    assert page.title().startswith("<script>")
    assert page.locator("h1").inner_text().startswith(EVIL)
    assert page.locator("main img").count() == 0


@pytest.mark.browser
def test_content_policy_stops_a_script_that_was_put_in(opened, report, tmp_path):
    text = report.read_text("utf-8")
    path = tmp_path / "changed.html"
    path.write_text(
        text.replace("<main>", "<main><script>document.title='taken'</script>"), "utf-8"
    )
    page, said, _ = opened(path)
    assert page.title() == "A flat in Veladrag"
    assert any("Content Security Policy" in line for line in said)


def test_numbers_of_the_page_are_those_of_the_json(assessed):
    page = render(assess_sheet(assessed, TODAY))
    document = json.loads(assessed.to_json())
    hours = document["air"]["hours_below_preferred"]
    assert f"{hours['mid']:,.0f} ({hours['low']:,.0f} to {hours['high']:,.0f})" in page
    typical = document["air"]["preferred_per_growing_year"]["typical"]
    assert re.search(f'data-label="in a typical year"[^>]*>{typical:,.0f}</td>', page)
    assert document["verdict"]["sentence"] in page.replace("&#39;", "'")


def png_size(data: bytes) -> tuple[int, int]:
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    width, height = struct.unpack(">II", data[16:24])
    return width, height


@pytest.mark.browser
@pytest.mark.long
def test_pictures_and_tables_are_written(chromium, assessed, tmp_path):
    files = assess_exports(assessed, TODAY).write(
        html=tmp_path / "a.html",
        png=tmp_path / "a.png",
        csv=tmp_path / "a.csv",
    )
    assert [name.rsplit("/", 1)[1] for name in files] == ["a.html", "a.png", "a.csv"]
    assert png_size((tmp_path / "a.png").read_bytes()) == (2200, 974)
    lines = (tmp_path / "a.csv").read_text().splitlines()
    assert len(lines) == 53
    assert lines[1].startswith(f"{assessed.year_strip[0].starts},")
    cold = winter(
        demo_weather(),
        NamedSpot("rail", spot_kind("open-rail")),
        below=(5.0,),
        members=3,
    )
    winter_exports(cold).write(png=tmp_path / "w.png", csv=tmp_path / "w.csv")
    assert png_size((tmp_path / "w.png").read_bytes()) == (2200, 1084)
    rows = (tmp_path / "w.csv").read_text().splitlines()
    assert len(rows) == len(cold.nights) + 1


def test_a_picture_shows_gaps_and_never_fills_them(assessed):
    from climrisk.commands.assess.chart import year_strip
    from climrisk.commands.winter.chart import winter_ladder

    cold = winter(
        demo_weather(),
        NamedSpot("rail", spot_kind("open-rail")),
        below=(5.0,),
        members=1,
    )
    lost = cold.nights[40].model_copy(
        update={"lowest_c": None, "evening_c": None, "counts": False}
    )
    holed = cold.model_copy(
        update={"nights": [*cold.nights[:40], lost, *cold.nights[41:]]}
    )
    whole, gapped = (to_plotly(winter_ladder(r)) for r in (cold, holed))
    assert sum(len(t.x) for t in whole.data) == len(cold.nights)
    assert sum(len(t.x) for t in gapped.data) == len(cold.nights) - 1
    assert len(gapped.layout.shapes) == len(whole.layout.shapes) + 1
    # The southern strip begins in January.
    weeks = [*assessed.year_strip[26:], *assessed.year_strip[:26]]
    south = assessed.model_copy(
        update={
            "year_strip": [
                w.model_copy(update={"starts": f"{1 + i * 7 // 31:02d}-01"})
                for i, w in enumerate(weeks)
            ]
        }
    )
    assert to_plotly(year_strip(south)).layout.xaxis.range[0] == "2001-01-01"
