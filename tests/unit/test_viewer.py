"""A sheet as its reader likes it; 9/5 and 32 are the definition of °F."""

from __future__ import annotations

import re
from datetime import date, timedelta

import plotly.graph_objects as go
import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.commands import api
from climrisk.commands.shared import pages
from climrisk.render.charts import svg
from climrisk.render.charts.units import reworded
from climrisk.render.display_units import Viewer, from_languages
from climrisk.render.page import Page, Picture, Section, Table

FAHRENHEIT = Viewer("f", "mdy")

#: Known by heart from any school book, or by the definition.
TEXTS = [
    ("water freezes at 0 °C", "water freezes at 32 °F"),
    ("-40 °C is -40", "-40 °F is -40"),
    ("−40.0 °C", "-40.0 °F"),
    ("between 10 and 20 °C", "between 50 and 68 °F"),
    ("10/5/0 °C", "50/41/32 °F"),
    ("from 0.0 to 37.0 °C", "from 32.0 to 98.6 °F"),
    ("5 K colder", "9 °F colder"),
    ("0.5 to 1.5 K", "0.9 to 2.7 °F"),
    ("5 °C colder", "9 °F colder"),
    ("0.5 to 1.5 °C warmer", "0.9 to 2.7 °F warmer"),
    ("warms by 2.0 °C/h", "warms by 3.6 °F/h"),
    ("colder than 10 °C", "colder than 50 °F"),
    ("±1.0 K", "±1.8 °F"),
    ("+2.5 K", "+4.5 °F"),
    ("3.5 K/km", "3.5 K/km"),
    ("7 W/m2K", "7 W/m2K"),
    ("<b>-1.0°</b>", "<b>30.2°</b>"),
    ("12 nights below 10 °C", "12 nights below 50 °F"),
    ("1,234 hours", "1,234 hours"),
    ("in 2024, 5 °C", "in 2024, 41 °F"),
    ("30 % of years", "30 % of years"),
    ("-2.6 (-4.3 to -1.6) °C once", "27.3 (24.3 to 29.1) °F once"),
    ("1.0 (0.5 to 1.5) °C warmer", "1.8 (0.9 to 2.7) °F warmer"),
]


#: Differences by their words or sign: 9/5 of them, and no 32.
DIFFERENCES = [
    ("3.9 °C below the 10 °C it tolerates", "7.0 °F below the 50 °F it tolerates"),
    ("7 °C, 3 °C below what it prefers", "45 °F, 5 °F below what it prefers"),
    ("(+1.5 ± 1.0 °C)", "(+2.7 ± 1.8 °F)"),
    ("+0.8 °C on 12 still nights", "+1.4 °F on 12 still nights"),
    ("uncertain by ±2 °C more", "uncertain by ±4 °F more"),
    ("warmed by 0.5 °C a decade", "warmed by 0.9 °F a decade"),
    ("1.6 °C warmer than 10 °C", "2.9 °F warmer than 50 °F"),
    ("nights about 10 °C colder than days", "nights about 18 °F colder than days"),
    ("inside by 18 October, below 15.5 °C", "inside by October 18, below 60 °F"),
    ("4.5 mol/m² a day at 10 °C", "4.5 mol/m² a day at 50 °F"),
]


@pytest.mark.parametrize(("given", "wanted"), TEXTS + DIFFERENCES)
def test_degrees_and_differences_in_a_sentence(given, wanted):
    assert FAHRENHEIT.text(given) == wanted


#: Factors from the definitions of inch (25.4 mm), pound (0.45359237 kg) and mile.
MEASURES = [
    ("gusts of 37 (26 to 52) km/h", "gusts of 23 (16 to 32) mph"),
    ("wind 10 m/s", "wind 22 mph"),
    ("a 12 cm pot of 0.8 kg", "a 4.7 in pot of 1.8 lb"),
    ("30 cm high, 864 cm² of leaves", "12 in high, 134 in² of leaves"),
    ("12 km away and 300 m higher", "7.5 mi away and 984 ft higher"),
    ("1.5 mol/m² a day, 800 W/m²", "1.5 mol/m² a day, 800 W/m²"),
    ("1,500 m", "4,921 ft"),
]


@pytest.mark.parametrize(("given", "wanted"), MEASURES)
def test_speeds_lengths_and_weights_in_us_units(given, wanted):
    assert Viewer("f", measures="us").text(given) == wanted
    assert Viewer("f").text(given) == given


@pytest.mark.parametrize(("given", "_"), TEXTS + DIFFERENCES)
def test_celsius_stays_and_kelvin_is_said_in_degrees(given, _):
    wanted = given if "K/" in given or "m2K" in given else given.replace(" K", " °C")
    assert Viewer("c").text(given) == wanted


def test_a_month_that_a_date_divides_is_told_in_the_readers_order():
    assert (
        FAHRENHEIT.text("from 18\N{NO-BREAK SPACE}Oct")
        == "from Oct\N{NO-BREAK SPACE}18"
    )


@given(st.integers(-60, 60), st.integers(0, 2))
def test_any_temperature_keeps_its_decimals(celsius, digits):
    said = Viewer("f").text(f"{celsius:.{digits}f} °C")
    number, unit = said.split(" ")
    assert unit == "°F"
    assert len(number.partition(".")[2]) == digits
    assert float(number) == pytest.approx(celsius * 9 / 5 + 32, abs=0.51 / 10**digits)


DATES = [
    ("2026-11-02", "2 Nov 2026", "Nov 2, 2026", "2026-11-02"),
    ("by 29 September", "by 29 September", "by September 29", "by September 29"),
    ("2 November 2026", "2 November 2026", "November 2, 2026", "2026-11-02"),
    ("2026-13-40", "2026-13-40", "2026-13-40", "2026-13-40"),
    ("may be 3 March", "may be 3 March", "may be March 3", "may be March 3"),
    ("winter 2024/25", "winter 2024/25", "winter 2024/25", "winter 2024/25"),
    ("3 Maybelle", "3 Maybelle", "3 Maybelle", "3 Maybelle"),
]


@pytest.mark.parametrize(("given", "dmy", "mdy", "ymd"), DATES)
def test_dates_in_the_readers_order(given, dmy, mdy, ymd):
    assert Viewer("c", "dmy").text(given) == dmy
    assert Viewer("c", "mdy").text(given) == mdy
    assert Viewer("c", "ymd").text(given) == ymd


@given(st.integers(0, 60_000))
def test_no_day_changes_by_its_order(ahead):
    day = date(1950, 1, 1) + timedelta(days=ahead)
    said = Viewer("c", "mdy").text(day.isoformat())
    name, of_month, year = re.fullmatch(r"(\w{3}) (\d+), (\d{4})", said).groups()
    assert f"{day:%b}" == name
    assert (day.day, day.year) == (int(of_month), int(year))


def test_columns_are_told_by_their_heading():
    table = Table(
        "x",
        [
            *("lowest °C", "h below 10 °C", "margin, K", "hours", "range °C"),
            *("°C warmer", "margin, °C", "low sky, °C warmer"),
        ],
        [
            (10, 7, 5.0, 24, "0 (-10 to 10)", 5.0, -3.9, "+0.5"),
            ("?", "?", "?", 1, "?", "?", "?", "?"),
        ],
    )
    page = Page("t", "s", [Section("h", tables=[table])])
    shown = FAHRENHEIT.sheet(page).sections[0].tables[0]
    assert list(shown.header) == [
        "lowest °F",
        "h below 50 °F",
        "margin, °F",
        "hours",
        "range °F",
        "°F warmer",
        "margin, °F",
        "low sky, °F warmer",
    ]
    # Differences take 9/5 of their value: -3.9 becomes -7.02, 0.5 becomes 0.9.
    told = [50, 7, 9.0, 24, "32 (14 to 50)", 9.0, -7.02, "+0.9"]
    assert list(shown.rows[0]) == told
    assert list(shown.rows[1]) == ["?", "?", "?", 1, "?", "?", "?", "?"]
    plain = Viewer("c").sheet(page).sections[0].tables[0]
    assert plain.header[2] == "margin, °C"


@pytest.mark.parametrize(
    ("header", "unit", "dates"),
    [
        ("en-US,en;q=0.9", "f", "mdy"),
        ("en-GB", "c", "dmy"),
        ("de-AT,de;q=0.8", "c", "dmy"),
        ("sv-SE", "c", "ymd"),
        ("ja", "c", "ymd"),
        ("", "c", "dmy"),
        ("*", "c", "dmy"),
    ],
)
def test_a_browsers_language_suggests_how_to_read(header, unit, dates):
    assert from_languages(header) == Viewer(unit, dates)


@pytest.fixture(scope="module")
def winter():
    return api.winter(api.weather(demo=True, years=3), members=1)


def test_a_picture_in_fahrenheit_has_the_same_shape(winter):
    sheet = pages.winter_sheet(winter)
    plain = svg(sheet.sections[0].figures[0].figure, "p")
    other = svg(FAHRENHEIT.sheet(sheet).sections[0].figures[0].figure, "p")
    pattern = re.compile(r'<rect class="bar[^>]* y="([\d.]+)"')
    at, there = ([float(m) for m in pattern.findall(text)] for text in (plain, other))
    # Where a bar stands does not depend on the unit.
    assert len(at) == len(there) > 100
    assert all(a == pytest.approx(b, abs=0.11) for a, b in zip(at, there, strict=True))
    assert "°C" not in other
    cold = min(n.lowest_c for n in winter.nights if n.lowest_c is not None)
    assert f"lowest {cold * 9 / 5 + 32:.1f} °F" in other


def test_differences_on_an_axis_become_differences():
    figure = go.Figure()
    figure.add_scatter(
        x=[0.0, 1.0], y=["a", "b"], hovertemplate="%{x:.1f} K<extra></extra>"
    )
    figure.update_xaxes(ticksuffix=" K", range=[-1, 2], title={"text": "roots, K more"})
    held = reworded(figure, lambda t: t, fahrenheit=True).to_plotly_json()
    assert list(held["data"][0]["x"]) == [0.0, 1.8]
    assert list(held["layout"]["xaxis"]["range"]) == [-1.8, 3.6]
    assert held["layout"]["xaxis"]["title"]["text"] == "roots, °F more"
    assert held["data"][0]["hovertemplate"].startswith("%{x:.1f} °F")


def test_the_result_itself_is_never_changed(winter):
    before = winter.to_json()
    sheet = pages.winter_sheet(winter)
    FAHRENHEIT.sheet(sheet)
    assert winter.to_json() == before
    assert isinstance(sheet.sections[0].figures[0], Picture)
