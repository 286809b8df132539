"""What is shown, in its reader's units; 9/5 and 32 are the definition of °F."""

from __future__ import annotations

import json
import pickle
import re
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.commands.winter.page import winter_sheet
from climrisk.core import quantities as q
from climrisk.core.days import day, day_in_words, days_of_month
from climrisk.core.frozen import Frozen, for_reader
from climrisk.core.typed_text import DOCUMENT, Viewer
from climrisk.render.charts import svg
from climrisk.render.charts.chart import Chart, plotly_json
from climrisk.render.charts.units import axes_of, for_viewer
from climrisk.render.display_units import from_languages, sheet_for
from climrisk.render.page import Page, Picture, Section, Table
from climrisk.weather.given import Weather
from tests import asking

US = Viewer("us", "mdy")

#: Known by heart from any school book, or by the definition: 9/5 and 32, and for
#: differences 9/5 alone.
TEXTS = [
    (f"water freezes at {q.temperature(0)}", "0 °C", "32 °F"),
    (q.temperature(-40, 1), "-40.0 °C", "-40.0 °F"),
    (q.temperatures(10, 20), "10 to 20 °C", "50 to 68 °F"),
    (q.temperature(37, 1), "37.0 °C", "98.6 °F"),
    (q.temperature(15.5), "15.5 °C", "60 °F"),
    (q.temperature(-0.04, 1), "0.0 °C", "32 °F"),
    (f"{q.difference(5)} colder", "5 °C colder", "9 °F colder"),
    (q.differences(0.5, 1.5), "0.5 to 1.5 °C", "0.9 to 2.7 °F"),
    (q.difference(2.5, 1, signed=True), "+2.5 °C", "+4.5 °F"),
    (q.difference(-2.5, 1, signed=True), "-2.5 °C", "-4.5 °F"),
    (f"warms by {q.difference(2, 1)}/h", "2.0 °C/h", "3.6 °F/h"),
    (f"12 nights in 2024 below {q.temperature(10)}", "12 nights in 2024", "50 °F"),
    (q.temperature(None), "? °C", "? °F"),
    # Factors from the definitions of inch (25.4 mm), pound (0.45359237 kg) and mile.
    (q.speed(10), "36 km/h", "22 mph"),
    (q.quantity(q.WIND, 10), "10 m/s", "22 mph"),
    (q.quantity(q.LENGTH, 12), "12 cm", "4.7 in"),
    (q.quantity(q.LENGTH, 30, 0), "30 cm", "12 in"),
    (q.quantity(q.MASS, 0.8, 1), "0.8 kg", "1.8 lb"),
    (q.quantity(q.AREA, 864, 0), "864 cm²", "134 in²"),
    (q.quantity(q.DISTANCE, 12), "12 km", "7.5 mi"),
    (q.quantity(q.HEIGHT, 1500, 0), "1,500 m", "4,921 ft"),
    (q.quantity(q.LIGHT, 4.5), "4.5 mol/m² a day", "4.5 mol/m² a day"),
    (q.from_data("nights {5 to 8 K} colder"), "5 to 8 °C colder", "9 to 14 °F colder"),
    (q.from_data("canes of {50 cm}"), "canes of 50 cm", "canes of 20 in"),
]


@pytest.mark.parametrize(("text", "metric", "us"), TEXTS)
def test_quantities_are_written_in_the_readers_units(text, metric, us):
    assert metric in Viewer().text(text)
    assert us in US.text(text)


@given(st.floats(-60, 60), st.integers(0, 2))
def test_any_temperature_keeps_its_decimals(celsius, digits):
    said = Viewer("us").text(q.temperature(celsius, digits))
    number, unit = said.split(" ")
    assert unit == "°F"
    decimals = len(number.partition(".")[2])
    fahrenheit = celsius * 9 / 5 + 32
    # A temperature that may be a whole °F by its rounding is shown as one.
    whole = abs(fahrenheit - round(fahrenheit)) <= 10.0**-digits + 1e-9
    assert decimals == digits or (decimals == 0 and whole)
    assert float(number) == pytest.approx(fahrenheit, abs=0.51 / 10**decimals)


@given(st.integers(-40, 120))
def test_a_typed_whole_fahrenheit_comes_back(fahrenheit):
    celsius = round(q.TEMPERATURE.metric_of(fahrenheit), 4)
    assert Viewer("us").text(q.temperature(celsius)) == f"{fahrenheit} °F"


class Made(Frozen):
    """A result with texts in all places that texts may be in."""

    text: str
    several: list[str]
    named: dict[str, str]


def test_a_result_is_metric_and_keeps_its_quantities():
    made = Made(
        text=f"below {q.temperature(10)}",
        several=["plain", q.difference(5)],
        named={"a": q.speed(10)},
    )
    assert made.text == "below 10 °C"
    assert json.loads(made.model_dump_json())["several"] == ["plain", "5 °C"]
    again = Made(text=made.text, several=made.several, named=made.named)
    copied = pickle.loads(pickle.dumps(again)).model_copy(update={"text": made.text})
    for result in (made, again, copied):
        us = for_reader(result, US)
        assert (us.text, us.several[1], us.named["a"]) == (
            "below 50 °F",
            "9 °F",
            "22 mph",
        )
        assert for_reader(result, Viewer()) == made


def test_who_says_units_first_is_heard():
    assert q.chosen() == q.chosen(None, "feet") == "metric"
    assert q.chosen(None, "us", "metric") == "us"
    assert q.chosen("metric", "us") == "metric"


NOVEMBER = date(2026, 11, 2)
#: What a document has, and readers of three orders.
DAYS = [
    (day(NOVEMBER), "2026-11-02", "2 Nov 2026", "Nov 2, 2026", "2026-11-02"),
    (
        day("2026-11-02T06:00Z"),
        "2026-11-02T06:00",
        "2 Nov 2026 06:00",
        "Nov 2, 2026 06:00",
        "2026-11-02 06:00",
    ),
    (
        day_in_words("2026-11-02"),
        "2 November 2026",
        "2 November 2026",
        "November 2, 2026",
        "2026-11-02",
    ),
    (
        f"by {day_in_words('09-29')}",
        "by 29 September",
        "by 29 September",
        "by September 29",
        "by September 29",
    ),
    (
        day_in_words(NOVEMBER, year=False, brief=True),
        "2 Nov",
        "2 Nov",
        "Nov 2",
        "Nov 2",
    ),
    (
        days_of_month(3, "3 and 5"),
        "3 and 5 March",
        "3 and 5 March",
        "March 3 and 5",
        "March 3 and 5",
    ),
    (
        days_of_month(3, "3 to 5", "2026"),
        "3 to 5 March 2026",
        "3 to 5 March 2026",
        "March 3 to 5, 2026",
        "March 3 to 5, 2026",
    ),
    # What nobody typed as a day stays as it is.
    *[(text,) * 5 for text in ("2026-11-02", "2 November", "log of 2026-11-02.csv")],
]


@pytest.mark.parametrize(("given", "iso", "dmy", "mdy", "ymd"), DAYS)
def test_days_in_the_readers_order(given, iso, dmy, mdy, ymd):
    assert DOCUMENT.text(given) == iso
    assert Viewer("metric", "dmy").text(given) == dmy
    assert Viewer("metric", "mdy").text(given) == mdy
    assert Viewer("metric", "ymd").text(given) == ymd


@given(st.integers(0, 60_000))
def test_no_day_changes_by_its_order(ahead):
    on = date(1950, 1, 1) + timedelta(days=ahead)
    said = Viewer("metric", "mdy").text(day(on.isoformat()))
    name, of_month, year = re.fullmatch(r"(\w{3}) (\d+), (\d{4})", said).groups()
    assert f"{on:%b}" == name
    assert (on.day, on.year) == (int(of_month), int(year))


def test_numbers_of_a_column_are_of_the_kind_in_its_heading():
    table = Table(
        "x",
        [
            *(f"lowest {q.DEGREES}", f"h below {q.temperature(10)}"),
            *(f"margin, {q.DEGREES_APART}", "hours", f"range {q.DEGREES}"),
        ],
        [
            (10, 7, -3.9, 24, q.temperatures(-10, 10)),
            ("?", None, "?", 1, "?"),
        ],
    )
    page = Page("t", "s", [Section("h", tables=[table])])
    us = sheet_for(US, page).sections[0].tables[0]
    head = ["lowest °F", "h below 50 °F", "margin, °F", "hours", "range °F"]
    assert list(us.header) == head
    # Differences take 9/5 of their value: -3.9 becomes -7.02.
    assert list(us.rows[0]) == [50, 7, -7.0, 24, "14 to 50 °F"]
    assert list(us.rows[1]) == ["?", None, "?", 1, "?"]
    plain = sheet_for(Viewer(), page).sections[0].tables[0]
    assert plain.header[2] == "margin, °C"
    assert list(plain.rows[0]) == [10, 7, -3.9, 24, "-10 to 10 °C"]


@pytest.mark.parametrize(
    ("header", "unit", "dates"),
    [
        ("en-US,en;q=0.9", "us", "mdy"),
        ("en-GB", "metric", "dmy"),
        ("de-AT,de;q=0.8", "metric", "dmy"),
        ("sv-SE", "metric", "ymd"),
        ("ja", "metric", "ymd"),
        ("", "metric", "dmy"),
        ("*", "metric", "dmy"),
    ],
)
def test_a_browsers_language_suggests_how_to_read(header, unit, dates):
    assert from_languages(header) == Viewer(unit, dates)


@pytest.fixture(scope="module")
def winter():
    return asking.winter(Weather.demo(years=3), members=1)


def test_a_picture_in_fahrenheit_has_the_same_shape(winter):
    sheet = winter_sheet(winter)
    plain = svg(sheet_for(Viewer(), sheet).sections[0].figures[0].figure, "p")
    other = svg(sheet_for(US, sheet).sections[0].figures[0].figure, "p")
    pattern = re.compile(r'<rect class="bar[^>]* y="([\d.]+)"')
    at, there = ([float(m) for m in pattern.findall(text)] for text in (plain, other))
    # Where a bar stands does not depend on the unit.
    assert len(at) == len(there) > 100
    assert all(a == pytest.approx(b, abs=0.11) for a, b in zip(at, there, strict=True))
    assert "°C" not in other
    cold = min(n.lowest_c for n in winter.nights if n.lowest_c is not None)
    assert f"lowest {cold * 9 / 5 + 32:.1f} °F" in other


def test_differences_on_an_axis_become_differences():
    figure = Chart()
    figure.add_scatter(
        x=[0.0, 1.0],
        y=["a", "b"],
        hovertemplate=f"%{{x:.1f}} {q.DEGREES_APART}<extra></extra>",
    )
    title = {"text": f"roots, {q.DEGREES_APART} more"}
    figure.update_xaxes(ticksuffix=f" {q.DEGREES_APART}", range=[-1, 2], title=title)
    axes_of(figure, x=q.DIFFERENCE)
    us = plotly_json(for_viewer(figure, US))
    assert list(us["data"][0]["x"]) == [0.0, 1.8]
    assert list(us["layout"]["xaxis"]["range"]) == [-1.8, 3.6]
    assert us["layout"]["xaxis"]["title"]["text"] == "roots, °F more"
    assert us["data"][0]["hovertemplate"].startswith("%{x:.1f} °F")
    metric = plotly_json(for_viewer(figure, Viewer()))
    assert list(metric["data"][0]["x"]) == [0.0, 1.0]
    assert metric["layout"]["xaxis"]["ticksuffix"] == " °C"


def test_the_result_itself_is_never_changed(winter):
    before = winter.to_json()
    sheet = winter_sheet(winter)
    sheet_for(US, sheet)
    assert winter.to_json() == before
    assert isinstance(sheet.sections[0].figures[0], Picture)
