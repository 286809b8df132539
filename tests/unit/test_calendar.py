"""The move calendar, read back by a reader written from RFC 5545 alone."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

import icalendar
import pytest

from climrisk.cli.main import main
from climrisk.commands.calendar.compute import calendar
from climrisk.commands.calendar.exports import calendar_csv, calendar_ics
from climrisk.commands.calendar.page import moves_sheet
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.inputs.values import Risk
from climrisk.plants.registry import find
from climrisk.render.page import render
from climrisk.spot.kinds import spot_kind
from climrisk.weather.synthetic import demo_weather
from tests.published.rows import ROWS

TODAY = date(2026, 11, 25)
NAMES = ("Phalaenopsis hybrids", "Dendrobium nobile type", "Cacti, desert")


def potted_plants(label=None, spot="roofed-balcony", names=NAMES):
    kind = spot_kind(spot)
    return [PottedPlant(find(n), label or n, "balcony", kind, count=2) for n in names]


def made(risk=0.1, today=TODAY, **changes):
    return calendar(
        demo_weather(),
        changes.pop("plants", None) or potted_plants(),
        Risk(risk),
        today=today,
        members=changes.pop("members", 4),
        **changes,
    )


@pytest.fixture(scope="module")
def result():
    return made()


def read_back(data: bytes) -> list[tuple[str, dict[str, list[tuple[str, str]]]]]:
    """Read iCalendar by RFC 5545 sections 3.1 and 3.3.11: (component, properties)."""
    text = data.decode("utf-8")
    assert "\n" not in text.replace("\r\n", "")
    lines = text.replace("\r\n ", "").replace("\r\n\t", "").split("\r\n")
    assert lines[-1] == ""
    stack: list[tuple[str, dict[str, list[tuple[str, str]]]]] = []
    out = []
    for line in lines[:-1]:
        head, _, value = line.partition(":")
        name, *parameters = head.split(";")
        if name == "BEGIN":
            stack.append((value, {}))
        elif name == "END":
            out.append(stack.pop())
            assert out[-1][0] == value
        else:
            stack[-1][1].setdefault(name, []).append((";".join(parameters), value))
    assert not stack
    return out


def unescaped(text: str) -> str:
    out, rest = "", iter(text)
    for c in rest:
        if c != "\\":
            out += c
            continue
        follows = next(rest)
        out += {"n": "\n", "N": "\n"}.get(follows, follows)
    return out


def events(data: bytes):
    return [p for name, p in read_back(data) if name == "VEVENT"]


def still_to_come(result):
    """Return the entries from today on, and what goes on today."""
    return [e for e in result.entries if (e.until or e.date) >= result.as_of]


def test_file_reads_back_with_every_entry_from_today(result):
    data = calendar_ics(result)
    found, coming = events(data), still_to_come(result)
    assert 0 < len(coming) < len(result.entries)
    for event, entry in zip(found, coming, strict=True):
        # CA01, CA10, CA11: all-day, DATE with DATE, the end is exclusive.
        assert event["DTSTART"] == [("VALUE=DATE", entry.date.replace("-", ""))]
        after = date.fromisoformat(entry.date) + timedelta(days=1)
        assert event["DTEND"] == [("VALUE=DATE", f"{after:%Y%m%d}")]
        # CA06, CA08: required once; a UTC stamp.
        assert event["UID"] == [("", entry.uid)]
        assert event["DTSTAMP"] == [("", "20261125T000000Z")]
        answer = unescaped(event["DESCRIPTION"][0][1])
        assert all(plant in answer for plant in entry.plants)
        assert result.weather.credit in answer
    (head,) = [p for name, p in read_back(data) if name == "VCALENDAR"]
    # CA07.
    assert head["VERSION"] == [("", "2.0")]
    assert head["PRODID"] == [("", "-//climrisk//move calendar//EN")]
    alarms = [p for name, p in read_back(data) if name == "VALARM"]
    assert {a["TRIGGER"][0][1] for a in alarms} == {"-PT6H"}


def test_lines_fold_by_octets_and_text_is_escaped():
    # CA03, CA04, CA09, CA12.
    label = "é" * 60 + "; a, b\\c"
    data = calendar_ics(made(plants=potted_plants(label, names=NAMES[:1])))
    lines = data.split(b"\r\n")
    assert max(len(line) for line in lines) <= int(ROWS["CA03"]["expected"])
    assert any(line.startswith(b" ") for line in lines)
    for line in lines:
        line.decode("utf-8")
    summary = unescaped(events(data)[0]["SUMMARY"][0][1])
    assert f"{label} (2)" in summary
    assert "\\;" in events(data)[0]["SUMMARY"][0][1]


def test_a_second_library_reads_the_same_days(result):
    read = icalendar.Calendar.from_ical(calendar_ics(result))
    days = [e["DTSTART"].dt.isoformat() for e in read.walk("VEVENT")]
    assert days == [e.date for e in still_to_come(result)]
    assert all(day >= result.as_of for day in days)


def test_identities_are_unique_and_stay_when_the_calendar_is_made_again(result):
    # CA13: the same UID with a newer stamp replaces.
    uids = [e.uid for e in result.entries]
    assert len(set(uids)) == len(uids)
    later = made(today=date(2027, 1, 3))
    assert [e.uid for e in later.entries] == uids
    other_risk = made(risk=0.25)
    assert {e.uid for e in other_risk.entries} == set(uids)
    assert calendar_ics(made()) == calendar_ics(result)
    assert b"20270103T000000Z" in calendar_ics(later)


def test_more_risk_never_moves_autumn_earlier_or_spring_later():
    season = [7, 8, 9, 10, 11, 12, 1, 2, 3, 4, 5, 6]

    def place(month_day):
        month, day = (int(p) for p in month_day.split("-"))
        return season.index(month), day

    last = None
    for risk in (0.05, 0.1, 0.2, 0.35, 0.5):
        rows = made(risk=risk).months
        now = {
            r.label: (place(r.move_in.month_day), place(r.move_out.month_day))
            for r in rows
            if r.move_in.month_day and r.move_out.month_day
        }
        assert len(now) >= 2
        if last is not None:
            # What stays out at a risk stays out at a greater one.
            assert set(now) <= set(last)
            for label, (into, out) in now.items():
                assert into >= last[label][0]
                assert out <= last[label][1]
        last = now


def test_pests_are_looked_for_before_every_move_in(result):
    moves = [e for e in result.entries if e.action == "move in"]
    checks = {(e.date, e.spot) for e in result.entries if e.action == "pest check"}
    assert moves
    for entry in moves:
        early = date.fromisoformat(entry.date) - timedelta(days=10)
        assert (early.isoformat(), entry.spot) in checks


def test_months_agree_with_the_days(result):
    dated = [r for r in result.months if r.move_in.month_day is not None]
    assert 0 < len(dated) < len(result.months)
    for row in result.months:
        if row not in dated:
            # Nothing to move for: no month is spent indoors.
            assert row.move_out.month_day is None
            assert "in" not in row.states.values()
            continue
        into, out = row.move_in.month_day, row.move_out.month_day
        season = list(row.states)
        first, last = (season.index(str(int(day[:2]))) for day in (into, out))
        # A month that a date divides counts as in, and says from or until when; one
        # left on its first day does not.
        inside = season[first : last + (not out.endswith("-01"))]
        assert [m for m in season if row.states[m] == "in"] == inside
        assert row.state_notes[season[first]].startswith(f"in from {int(into[3:])} ")
        assert row.state_notes[season[last]].startswith(f"in until {int(out[3:])} ")


def test_table_reads_back(result):
    rows = list(csv.DictReader(io.StringIO(calendar_csv(result))))
    assert [r["plant"] for r in rows] == [r.plant for r in result.months]
    assert [r["january"] for r in rows] == [r.states["1"] for r in result.months]
    assert rows[0]["move_in"] == result.months[0].move_in.month_day


def test_a_spreadsheet_gets_no_formula():
    label = "=HYPERLINK(1)"
    text = calendar_csv(made(plants=potted_plants(label, names=NAMES[:1])))
    assert f"'{label}" in text
    assert f",{label}" not in text


def test_indoor_spots_have_states_but_no_moving_days():
    result = made(plants=potted_plants(spot="heated-room"))
    assert result.entries == []
    assert set(result.months[0].states) == {str(m) for m in range(1, 13)}


def test_page_has_a_box_to_tick_for_every_day_of_the_coming_year(result):
    page = render(moves_sheet(result))
    end = TODAY.replace(year=2027).isoformat()
    coming = [e for e in result.entries if TODAY.isoformat() <= e.date < end]
    assert page.count('aria-label="to do"') == len(coming) > 0
    assert "<script" not in page


def test_command_writes_all_files_and_names_them(tmp_path, capsys):
    out = [tmp_path / f"moves.{ext}" for ext in ("ics", "csv", "html")]
    run = [
        *("calendar", "--demo", "--members", "3"),
        *("--ics", str(out[0]), "--csv", str(out[1]), "--html", str(out[2])),
    ]
    assert main(run) == 0
    assert "Written: " in (short := capsys.readouterr().out)
    assert all(path.name in short for path in out)
    status = main([*run, "--details"])
    said = capsys.readouterr().out
    assert status == 0
    assert all(f"Written: {path}" in said for path in out)
    assert len(events(out[0].read_bytes())) > 0
    assert "Look for pests" in said


CHECKED = ("Masdevallia", "Phalaenopsis hybrids")


@pytest.mark.parametrize(
    "asked",
    [
        [("calendar", ())],
        [("assess", (("plant", name), ("spot", "balcony"))) for name in CHECKED],
    ],
    ids=["calendar", "assess"],
)
def test_a_home_that_was_judged_before_gives_the_same_document(tmp_path, asked):
    from climrisk.commands.shared.judgements import hold_judgements
    from climrisk.home import demo_home_text
    from climrisk.weather.selection import WeatherChoice, hold_weather
    from climrisk.web.tasks import Task, run

    path = tmp_path / "home.toml"
    text = demo_home_text()
    always = (("as_of", date(2026, 11, 25)), ("members", 2))
    tasks = [
        Task(call, WeatherChoice(years=4), path, (*always, *options))
        for call, options in asked
    ]
    plant = '\n[[plant]]\nname = "Clivia miniata"\nspot = "walkway"\n'
    spot = '\n[[spot]]\nname = "yard"\nkind = "yard-floor"\n'
    room = '\n[[room]]\nname = "cellar"\nkind = "unheated-room"\n'
    changed = (plant, plant + spot + room, "")

    def answers(more):
        path.write_text(text + more, "utf-8")
        return [run(task).to_json() for task in tasks]

    try:
        hold_weather(1)
        hold_judgements(1)
        held = [answers(more) for more in ("", *changed)]
    finally:
        hold_judgements(0)
        hold_weather(0)
    for more, documents in zip(changed, held[1:], strict=True):
        assert answers(more) == documents
    assert len({text for documents in held for text in documents}) > len(tasks)
