"""Times to watch in the calendar's files, and marks of limits in its pictures."""

from __future__ import annotations

import csv
import io
from datetime import date

import icalendar
import pytest

from climrisk.commands.assess.chart import year_strip
from climrisk.commands.assess.compute import assess
from climrisk.commands.assess.page import assess_section
from climrisk.commands.calendar.compute import calendar
from climrisk.commands.calendar.exports import calendar_csv, calendar_ics
from climrisk.commands.calendar.next_moves import plant_lines
from climrisk.commands.calendar.sheet import calendar_sheet
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.commands.shared.verdict_text import month_cell
from climrisk.inputs.values import Risk
from climrisk.plants.registry import find
from climrisk.spot.kinds import spot_kind
from climrisk.weather.synthetic import demo_weather
from tests.asking import question

TODAY = date(2026, 11, 25)
CACTUS, ORCHID = "Cacti, desert", "Phalaenopsis hybrids"


def made(today=TODAY, names=(ORCHID, CACTUS)):
    kind = spot_kind("roofed-balcony")
    potted = [PottedPlant(find(n), n, "balcony", kind, count=1) for n in names]
    return calendar(demo_weather(), potted, Risk(0.1), today=today, members=3)


@pytest.fixture(scope="module")
def result():
    return made()


@pytest.fixture(scope="module")
def assessed():
    request = question(ORCHID, spot="roofed-balcony", pot={}, today=TODAY, members=3)
    return assess(demo_weather(), request)


def watched(result):
    (row,) = [r for r in result.months if r.watch_from is not None]
    return row


def test_a_plant_that_stays_out_is_watched_between_its_dates(result):
    row = watched(result)
    assert row.label == CACTUS
    assert set(row.states.values()) == {"out", "watch"}
    begins = [e for e in result.entries if e.action == "watch"]
    ends = [e for e in result.entries if e.action == "watch ends"]
    assert len(begins) == len(ends) == 2
    for first, last in zip(begins, ends, strict=True):
        assert first.date[5:] == row.watch_from.month_day
        assert last.date[5:] == row.watch_until.month_day
        assert first.until == last.date > first.date
        assert first.plants == last.plants == [CACTUS]
    # Nobody is both carried in for the winter and watched.
    moved = {p for e in result.entries if e.action == "move in" for p in e.plants}
    assert moved == {ORCHID}


def test_calendar_files_hold_the_times_to_watch(result):
    row = watched(result)
    read = icalendar.Calendar.from_ical(calendar_ics(result))
    titles = {
        str(e["SUMMARY"]): e["DTSTART"].dt.strftime("%m-%d")
        for e in read.walk("VEVENT")
    }
    title = f"Watch: carry in on single nights: {CACTUS} (balcony)"
    assert titles[title] == row.watch_from.month_day
    assert titles[f"Watch ends: {CACTUS} (balcony)"] == row.watch_until.month_day
    table = {r["plant"]: r for r in csv.DictReader(io.StringIO(calendar_csv(result)))}
    assert table[CACTUS]["watch_from"] == row.watch_from.month_day
    assert table[CACTUS]["watch_until"] == row.watch_until.month_day
    assert table[ORCHID]["watch_from"] == ""
    for line, plant in zip(table.values(), result.months, strict=True):
        assert line["verdict"] == plant.verdict
        assert line["usual_first_cold_night"] == (plant.usual.first_cold_night or "")
        assert float(line["tolerated_c"]) == plant.tolerated_c


def test_a_watch_that_goes_on_still_stands_on_the_sheet(result):
    row = watched(result)
    month, day = (int(p) for p in row.watch_from.month_day.split("-"))
    within = date(2026, month, day).toordinal() + 5
    later = made(today=date.fromordinal(within))
    assert "carry in on single nights" in calendar_sheet(later)
    for year, when in ((later, "until"), (result, "from")):
        line = next(x for x in plant_lines(year) if x.row.plant == CACTUS)
        assert line.action == "Watch"
        assert line.when.startswith(when)


def test_usual_cold_nights_are_those_of_the_hours(result):
    """Counted again from the night minima of the spot, winter by winter."""
    import numpy as np

    from climrisk.commands.shared.judgements import Judgements
    from climrisk.spot.ensemble import ensemble
    from climrisk.spot.transfer import prepare

    nights = Judgements(prepare(demo_weather(), ensemble(3))).nights(
        spot_kind("roofed-balcony")
    )
    row = result.months[1]
    firsts = []
    for year in np.unique(nights.growing_year):
        for member in range(nights.lowest_c.shape[1]):
            below = (nights.growing_year == year) & (
                nights.lowest_c[:, member] < row.preferred_c
            )
            days = nights.day_of_season[below]
            firsts.append(days.min() if days.size else np.inf)
    month, day = (int(p) for p in row.usual.first_cold_night.split("-"))
    said = (date(2026, month, day) - date(2026, 7, 1)).days
    assert said == pytest.approx(np.median(firsts), abs=1)


def test_a_month_says_from_when():
    assert month_cell("in", "in from 10 October") == "in from 10\N{NO-BREAK SPACE}Oct"
    assert month_cell("in", None) == "in"
    assert month_cell("watch", "in from 10 October") == "watch"


def shaded(result):
    return [s for s in year_strip(result).layout["shapes"] if s["type"] == "rect"]


def test_the_strip_names_its_limits_and_shades_only_between_dates(assessed):
    def words(result):
        notes = year_strip(result, TODAY).layout["annotations"]
        return " ".join(note["text"] for note in notes)

    assert "prefers" in words(assessed)
    assert "tolerates" in words(assessed)
    assert "estimate" not in words(assessed)
    limits = assessed.plant.limits
    guessed = limits["tolerated"].model_copy(update={"basis": "estimate"})
    plant = assessed.plant.model_copy(
        update={"limits": {**limits, "tolerated": guessed}}
    )
    assert "estimate" in words(assessed.model_copy(update={"plant": plant}))
    assert len(shaded(assessed)) == 1
    undated = assessed.move_in.model_copy(update={"month_day": None})
    assert shaded(assessed.model_copy(update={"move_in": undated})) == []


@pytest.mark.parametrize("basis", ["typical year", "far station"])
def test_what_a_verdict_rests_on_stands_beside_it(assessed, basis):
    assert assess_section(assessed, 1, TODAY).beside == []
    rough = assessed.verdict.model_copy(
        update={"basis": basis, "may_be": "summers outdoors", "strict": True}
    )
    section = assess_section(assessed.model_copy(update={"verdict": rough}), 1, TODAY)
    assert section.may_be == "summers outdoors"
    assert basis.split()[1] in section.beside[0]
    assert section.beside[0].startswith("a rough reading")
    assert "harmful" in section.beside[1]
