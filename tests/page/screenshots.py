"""Every view as a picture, to be looked at before a change of the page is done.

``python -m tests.page.screenshots FOLDER [--only NAME ...] [--sizes 360 768 1280]
[--themes light dark] [--units c f] [--homes sample own]`` writes one PNG for each
combination. ``own`` is a home of 18 plants, whose names are as long as names get.
"""

from __future__ import annotations

import argparse
import itertools
import os
import shutil
import tempfile
from pathlib import Path
from typing import Any

from climrisk.home import demo_home_text
from climrisk.web.settings import Settings
from tests.made_files import logger_csv, truth
from tests.page.conftest import TODAY, served
from tests.page.waiting import seen, settled

MORE_PLANTS = (
    ("Masdevallia", "shelf", ""),
    ("Paphiopedilum, mottled-leaved", "sill", "the spotted one"),
    ("Paphiopedilum, plain strap-leaved (P. insigne, complex hybrids)", "sill", ""),
    ("Oncidium, cool Andean (formerly Odontoglossum), Cyrtochilum", "balcony", ""),
    ("Epidendrum, reed-stem", "walkway", ""),
    ("Pelargonium", "balcony", "grandmother's geraniums"),
    ("Citrus, lemon and lime", "balcony", "lemon tree"),
    ("Olea europaea (olive)", "balcony", ""),
    ("Nerium oleander", "walkway", ""),
    ("Aloe", "shelf", ""),
    ("Adenium", "shelf", "desert rose"),
    ("Vanda, small (formerly Ascocentrum) and Ascocenda", "shelf", ""),
)
NIGHT = f"as_of={TODAY}"
FEW = f"years=10&members=5&{NIGHT}"
VIEWS = {
    "start": "/start",
    "town": "/start",
    "tonight": f"/tonight?words=4,+wind+6+km/h,+clear&{NIGHT}",
    "tonight-mild": f"/tonight?words=15,+cloudy&{NIGHT}",
    "plants": f"/plants?{FEW}",
    "row": f"/plants?{FEW}",
    "plant": f"/plants?{FEW}",
    "add": "/plants/add?name=lemon+tree",
    "spots-list": f"/plants/spots?{NIGHT}",
    "paste": "/plants/paste",
    "carry": "/plants/carry",
    "check-form": "/check",
    "check": f"/check?plant=Phalaenopsis+hybrids&spot=balcony&{FEW}",
    "check-pick": "/check",
    "check-open": f"/check?plant=Phalaenopsis+hybrids&spot=balcony&{FEW}",
    "check-summers": f"/check?plant=Cymbidium,+standard+hybrids&spot=walkway&{FEW}",
    "check-which": f"/check?plant=Paphiopedilum&spot=balcony&{FEW}",
    "check-no": f"/check?plant=qwertz&spot=balcony&{FEW}",
    "arrival": f"/arrival?plant=Masdevallia&spot=shelf&{FEW}",
    "year": f"/year?{FEW}",
    "cold": f"/cold?words=1+at+06:00,+9+h+below+5&spot=balcony&{FEW}",
    "understand": "/understand",
    "spots": f"/spots?plant=Masdevallia&{FEW}",
    "pots": f"/pots?pot=glass&pot=terracotta&medium=sphagnum&{FEW}",
    "help": f"/help?plant=Masdevallia&spot=shelf&{FEW}",
    "winter": f"/winter?plant=Masdevallia&spot=balcony&{FEW}",
    "review": f"/review?demo=true&plants=Masdevallia&{FEW}",
    "learn": f"/learn?demo=true&{NIGHT}",
    "logger": "/start",
    "weather": f"/weather?years=10&{NIGHT}",
    "print": f"/print?{FEW}",
    "labels": f"/print?labels=1&{FEW}",
    "homes": "/homes",
    "settings": "/settings",
    "about": "/about",
    "missing": "/nothing-here",
}
WIDTHS = {360: 740, 768: 1024, 1280: 900}
#: Only somebody's own home has them.
OWN = {"town", "row", "plant", "add", "paste", "carry", "logger"}


def own_home() -> str:
    """Return a home of 18 plants."""
    rows = [
        f'\n[[plant]]\nname = "{name}"\nspot = "{spot}"\n'
        + (f'label = "{label}"\n' if label else "")
        for name, spot, label in MORE_PLANTS
    ]
    text = demo_home_text().replace("A flat in Veladrag", "At the harbor")
    return text + "".join(rows)


def opened(page: Any, url: str, name: str, folder: Path) -> None:
    """Bring a view about, as its reader would."""
    page.goto(url + VIEWS[name])
    seen(page, "h1, .way")
    settled(page, 120_000)
    if name == "start" and page.locator("#sample").count():
        seen(page, "#sample .strip")
    if name == "town":
        page.locator("#f-town").press_sequentially("San Die")
        seen(page, "#town-options label")
    if name == "row":
        page.locator("details.plant > summary").nth(1).click()
    if name == "plant":
        page.locator("details.plant > summary").nth(1).click()
        page.locator("details.plant[open] a", has_text="Its page").click()
        seen(page, "#moves")
        settled(page)
        seen(page, ".strip")
        seen(page, ".helped")
    if name == "check-pick":
        page.locator(".picker > summary").first.click()
    if name == "check-open":
        page.locator(".question > summary").click()
    if name == "logger":
        path = logger_csv(folder / "shelf.csv", truth("2021-01-01", 24 * 40))
        page.set_input_files("#f-file", str(path))
        page.fill("#f-logger-town", "Zadar, Croatia")
        page.get_by_role("button", name="Read the file").click()
        seen(page, ".tiles")


def main() -> None:
    """Write the pictures."""
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--only", nargs="*", default=list(VIEWS))
    parser.add_argument("--sizes", nargs="*", type=int, default=list(WIDTHS))
    parser.add_argument("--themes", nargs="*", default=["light", "dark"])
    parser.add_argument("--units", nargs="*", default=["c", "f"])
    parser.add_argument("--homes", nargs="*", default=["sample", "own"])
    args = parser.parse_args()
    args.folder.mkdir(parents=True, exist_ok=True)
    from playwright.sync_api import sync_playwright

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        place = Path(folder)
        os.environ["CLIMRISK_DATA"] = str(place / "data")
        browser = playwright.chromium.launch(
            executable_path=os.environ.get("CHROMIUM") or shutil.which("chromium"),
            args=["--no-sandbox", "--disable-gpu"],
        )
        for home in args.homes:
            file = place / f"{home}.toml"
            file.write_text(own_home(), "utf-8")
            settings = Settings(
                home=file, demo=home == "sample", logs=place / "logs", workers=1
            )
            with served(settings) as url:
                for size, theme, unit in itertools.product(
                    args.sizes, args.themes, args.units
                ):
                    context = browser.new_context(
                        viewport={"width": size, "height": WIDTHS[size]},
                        color_scheme=theme,
                        locale="en-US" if unit == "f" else "en-GB",
                    )
                    page = context.new_page()
                    page.set_default_timeout(60_000)
                    for name in args.only:
                        if home == "sample" and name in OWN:
                            continue
                        picture = (
                            args.folder / f"{name}-{home}-{size}-{theme}-{unit}.png"
                        )
                        try:
                            opened(page, url, name, place)
                            if name == "print":
                                page.emulate_media(media="print", color_scheme=theme)
                            page.screenshot(path=picture, full_page=True)
                            page.emulate_media(media="screen", color_scheme=theme)
                        except Exception as error:
                            print(picture.name, str(error)[:300])
                    context.close()
        browser.close()


if __name__ == "__main__":
    main()
