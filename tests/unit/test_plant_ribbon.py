"""The year as a ribbon, what comes next, and a drawing for every kind."""

from __future__ import annotations

import re
from datetime import date, timedelta
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from climrisk.commands import api as calls
from climrisk.commands.calendar.next_moves import (
    due_lines,
    group_title,
    headline,
    long_day,
    plant_lines,
)
from climrisk.commands.calendar.ribbon import (
    RibbonSpan,
    axis_svg,
    plant_ribbon_svg,
    ribbon_words,
    year_ribbon,
)
from climrisk.home import demo_home_text
from climrisk.pot.media import media
from climrisk.pot.model import walls
from climrisk.render.charts.drawings import drawn_kinds, facing_svg
from climrisk.spot.kinds import KINDS
from climrisk.spot.site import parse_site
from climrisk.weather.selection import WeatherChoice

TODAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    path = tmp_path_factory.mktemp("home") / "home.toml"
    path.write_text(demo_home_text(), "utf-8")
    return path


@pytest.fixture(scope="module")
def result(home):
    return run_json(home, TODAY)


def run_json(home, today):
    return calls.calendar(
        WeatherChoice(years=8), home=home, as_of=today.isoformat(), members=3
    )


def row_of(result, **changes):
    month = {str(m): "out" for m in range(1, 13)}
    base = {
        "states": month | changes.pop("states", {}),
        "trip_in": None,
        "trip_out": None,
        "indoors": False,
        "retreat": None,
        "retreat_months": [],
        "watch_from": None,
        "watch_until": None,
    }
    row = result.months[0]
    for key in ("move_in", "move_out"):
        day = changes.pop(key, None)
        base[key] = row.move_in.model_copy(update={"month_day": day, "status": "date"})
    return row.model_copy(update=base | changes)


def days_of(row, today):
    """Return the stay of each day shown, by its date."""
    span = RibbonSpan(today)
    out = {}
    for s in year_ribbon(row, span):
        for i in range((s.end - s.first).days):
            out[s.first + timedelta(days=i)] = s.stay
    return out


@given(
    st.dates(date(2020, 1, 1), date(2032, 12, 31)),
    st.dates(date(2001, 7, 2), date(2001, 12, 30)),
    st.dates(date(2001, 1, 2), date(2001, 6, 29)),
)
def test_a_plant_is_in_on_the_days_between_its_dates_and_on_no_other(
    result, today, into, out
):
    row = row_of(result, move_in=f"{into:%m-%d}", move_out=f"{out:%m-%d}")
    days = days_of(row, today)
    first = today.replace(day=1)
    assert min(days) == first
    assert max(days) + timedelta(days=1) == first.replace(year=first.year + 1)
    for day, stay in days.items():
        inside = (day.month, day.day) >= (into.month, into.day) or (
            day.month,
            day.day,
        ) < (out.month, out.day)
        assert (stay == "in") == inside, day


def test_stretches_touch_and_fill_the_width(result):
    for row in result.months:
        stretches = year_ribbon(row, RibbonSpan(TODAY))
        assert stretches[0].left_pct == 0
        ends = [s.left_pct + s.width_pct for s in stretches]
        assert ends[-1] == pytest.approx(100)
        assert [s.left_pct for s in stretches[1:]] == pytest.approx(ends[:-1])


def test_a_month_that_a_date_divides_is_as_the_month_beside_it(result):
    row = row_of(
        result,
        states={"9": "watch", "10": "in", "11": "in", "5": "in"},
        move_in="10-10",
        move_out="05-24",
    )
    days = days_of(row, date(2026, 7, 4))
    assert days[date(2026, 10, 9)] == "watch"
    assert days[date(2026, 10, 10)] == "in"
    assert days[date(2027, 5, 23)] == "in"
    assert days[date(2027, 5, 24)] == "out"


def test_trips_hold_where_there_are_some_and_rooms_are_in(result):
    row = row_of(result, move_in="10-10", move_out="05-24", trip_in="10-01")
    assert days_of(row, TODAY)[date(2027, 10, 1)] == "in"
    inside = row_of(result, indoors=True)
    assert set(days_of(inside, TODAY).values()) == {"in"}
    hot = row_of(result, retreat="shelf", retreat_months=[7, 8])
    days = days_of(hot, TODAY)
    assert {d.month for d, s in days.items() if s == "away"} == {7, 8}


def test_a_word_stands_within_its_stretch_and_never_on_the_line_of_today(result):
    for day in (date(2026, 1, 1), date(2026, 2, 28), TODAY, date(2026, 10, 31)):
        span = RibbonSpan(day)
        for row in result.months:
            for s in year_ribbon(row, span):
                if s.word_pct is not None:
                    assert s.left_pct < s.word_pct < s.left_pct + s.width_pct
                    assert abs(s.word_pct - span.place_pct(day)) > 3
    short = row_of(result, states={"2": "watch"})
    words = [
        s.word_pct for s in year_ribbon(short, RibbonSpan(TODAY)) if s.stay == "watch"
    ]
    assert words == [None]


def test_the_drawing_is_well_formed_and_says_itself_in_words(result):
    span = RibbonSpan(TODAY)
    row = row_of(result, move_in="10-10", move_out="05-24")
    stretches = year_ribbon(row, span)
    root = ET.fromstring(plant_ribbon_svg(stretches, span))
    assert [r.get("class") for r in root.iter("rect")] == ["in", "out", "in"]
    assert root.get("aria-label") == (
        "In now, then out from 24 May, in from 10 October"
    )
    assert ribbon_words(year_ribbon(row_of(result), span), TODAY) == "Out all year"
    # What was before today is past.
    later = row_of(result, move_in="11-10", move_out="05-24")
    assert (
        ribbon_words(year_ribbon(later, span), TODAY) == "In now, then out from 24 May"
    )
    months = ET.fromstring(f"<svg>{axis_svg(span, 'today, 25 Nov')}</svg>")
    names = [t.text for t in months.iter("tspan") if t.get("class") == "long"]
    assert names[0] == "Nov"
    assert names[-1] == "Oct"
    # Twenty-four of three hundred and sixty-five days.
    assert months[1][0].get("x") == f"{100 * 24 / 365:.2f}%"


def test_what_comes_next_follows_the_trips_and_the_notes(home, result):
    lines = plant_lines(result)
    late = [x for x in lines if x.group == "late"]
    assert late
    assert all(x.row.trip_in and x.when.startswith("since ") for x in late)
    assert headline(lines).endswith("should be inside by now")
    assert {x.group for x in lines} <= {"late", "next", "later", "out", "inside"}
    now, text = due_lines(lines)[0]
    assert now == "Now"
    assert text.startswith("Carry in ")
    # In September the first trip is ahead, and is the next one for all that go on it.
    ahead = plant_lines(run_json(home, date(2026, 9, 1)))
    going = [x for x in ahead if x.group == "next"]
    assert going
    first = min(x.due for x in ahead if x.due and x.action == "Carry in")
    assert {x.due for x in going} == {first}
    title, beside = group_title("next", going)
    assert title == f"Next trip in: {long_day(first)}"
    assert beside.startswith(f"{sum(x.row.count for x in going)} plant")


def test_a_plant_noted_as_inside_goes_out_next(home, result):
    text = home.read_text("utf-8").replace(
        "count = 3\n", 'count = 3\nmoves = [{ on = 2026-10-20, to = "sill" }]\n', 1
    )
    noted = home.with_name("noted.toml")
    noted.write_text(text, "utf-8")
    line = plant_lines(run_json(noted, TODAY))[0]
    assert plant_lines(result)[0].group == "late"
    assert line.action == "Carry out"
    assert line.due == date.fromisoformat(f"2027-{line.row.trip_out}")


@pytest.mark.parametrize(
    ("table", "names"),
    [("spot", KINDS), ("pot", tuple(walls())), ("medium", tuple(media()))],
)
def test_every_kind_has_a_drawing_and_a_reason_to_choose_it(table, names):
    drawn = drawn_kinds(table)
    assert tuple(drawn) == tuple(names)
    sentences = [d.choose for d in drawn.values()]
    assert len(set(sentences)) == len(sentences)
    assert len({d.svg for d in drawn.values()}) == len(sentences)
    for one in drawn.values():
        root = ET.fromstring(one.svg)
        assert root.get("viewBox") == "0 0 120 90"
        numbers = [float(n) for n in re.findall(r"[MH](-?[\d.]+)", one.svg)]
        assert all(0 <= n <= 120 for n in numbers)


def test_drawings_of_facing_and_eaves_stand_for_values_that_a_spot_takes():
    for one in drawn_kinds("eaves").values():
        assert parse_site([f"eaves={one.value}"]).eaves_m == one.value
    assert len({facing_svg(d) for d in range(0, 360, 45)}) == 8
