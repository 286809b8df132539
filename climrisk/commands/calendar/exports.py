"""The move calendar as iCalendar (RFC 5545) and CSV."""

from __future__ import annotations

import csv
import hashlib
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

from climrisk.commands.calendar.result import (
    CalendarEntry,
    CalendarResult,
    LoadPlant,
    PlantMonths,
)
from climrisk.commands.shared.dates_result import Move
from climrisk.core.days import MONTH_NAMES
from climrisk.core.quantities import MASS
from climrisk.render.display_units import quantity
from climrisk.render.text import weather_line

if TYPE_CHECKING:
    from icalendar import Alarm, Event


PRODID = "-//climrisk//move calendar//EN"
WORDS = {
    "move in": "Move in",
    "move out": "Move out",
    "pest check": "Look for pests",
    "harden": "Harden off",
    "retreat": "Move out of the heat",
    "return": "Move back after the heat",
    "watch": "Watch: carry in on single nights",
    "watch ends": "Watch ends",
}


#: Actions that take plants from their spot elsewhere, and those that bring them back.
AWAY, BACK = ("move in", "retreat"), ("move out", "return")


#: How often a program that subscribed should ask again.
_AGAIN = timedelta(hours=1)
#: When an all-day event reminds, from its midnight: the evening before, or, of the
#: same day, in time to carry before dark.
_EVE, _AFTERNOON = timedelta(hours=-6), timedelta(hours=15)


@dataclass(frozen=True)
class Notice:
    """An entry of today beside the moves.

    Parameters
    ----------
    kind : str
        Makes its identity, with the home and the day.
    title, text : str
    alarm : bool
        Whether it reminds in the afternoon.
    """

    kind: str
    title: str
    text: str
    alarm: bool


def calendar_ics(
    result: CalendarResult,
    notices: Sequence[Notice] = (),
    *,
    subscribed: bool = False,
) -> bytes:
    """Return the entries as all-day events with an alarm at 18:00 the evening before.

    They begin with today and what is going on now. The same result gives the same
    bytes; stable UIDs make a second import replace.

    Parameters
    ----------
    result : CalendarResult
    notices : sequence of Notice
        Such as a warning for tonight.
    subscribed : bool
        Say how often to ask again.
    """
    from icalendar import Calendar, Event

    stamp = datetime.combine(date.fromisoformat(result.as_of), datetime.min.time(), UTC)
    plan = Calendar()
    plan.add("prodid", PRODID)
    plan.add("version", "2.0")
    plan.add("calscale", "GREGORIAN")
    plan.add("x-wr-calname", f"Move calendar, {result.home}")
    if subscribed:
        plan.add("refresh-interval", _AGAIN, parameters={"VALUE": "DURATION"})
        plan.add("x-published-ttl", "PT1H")
    for notice in notices:
        plan.add_component(_today(result, notice))
    for entry in result.entries:
        if (entry.until or entry.date) < result.as_of:
            continue
        day = date.fromisoformat(entry.date)
        event = Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", stamp)
        event.add("dtstart", day)
        event.add("dtend", day + timedelta(days=1))
        event.add("summary", summary(entry))
        event.add("description", _description(entry, result))
        event.add("transp", "TRANSPARENT")
        event.add_component(_alarm(summary(entry), _EVE))
        plan.add_component(event)
    return bytes(plan.to_ical())


def _alarm(words: str, trigger: timedelta) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", words)
    alarm.add("trigger", trigger)
    return alarm


def _today(result: CalendarResult, notice: Notice) -> Event:
    """Return an all-day event of today."""
    from icalendar import Event

    day = date.fromisoformat(result.as_of)
    identity = f"{result.home}|{notice.kind}|{day}".encode()
    event = Event()
    event.add("uid", f"{hashlib.sha256(identity).hexdigest()[:20]}@climrisk.invalid")
    event.add("dtstamp", datetime.combine(day, datetime.min.time(), UTC))
    event.add("dtstart", day)
    event.add("dtend", day + timedelta(days=1))
    event.add("summary", notice.title)
    event.add("description", notice.text)
    event.add("transp", "TRANSPARENT")
    if notice.alarm:
        event.add_component(_alarm(notice.title, _AFTERNOON))
    return event


def coming_entries(result: CalendarResult) -> list[CalendarEntry]:
    """Return what is to be done in the year from today on, and what is going on now."""
    last = (date.fromisoformat(result.as_of) + timedelta(days=365)).isoformat()
    return [e for e in result.entries if result.as_of <= (e.until or e.date) < last]


def summary(entry: CalendarEntry) -> str:
    """Return an entry in one line."""
    count = sum(plant.count for load in entry.loads for plant in load.plants)
    what = entry.plants[0] if len(entry.plants) == 1 else f"{count} plants"
    return f"{WORDS[entry.action]}: {what} ({entry.spot})"


def load_lines(entry: CalendarEntry) -> list[str]:
    """Return what goes from where to where, a line a spot and room."""
    out = []
    for load in entry.loads:
        place = load.spot
        if load.room is not None and entry.action in AWAY:
            place = f"{load.spot} to {load.room}"
        elif load.room is not None and entry.action in BACK:
            place = f"{load.room} to {load.spot}"
        out.append(f"{place}: {'; '.join(load_plant(p) for p in load.plants)}")
    return out


def load_plant(plant: LoadPlant) -> str:
    """Return a plant of a trip with its count, and its weight where it is heavy."""
    count = f" ({plant.count})" if plant.count > 1 else ""
    heavy = f", heavy: {quantity(MASS, plant.weight_kg, 0)}" if plant.heavy else ""
    return f"{plant.label}{count}{heavy}"


def _description(entry: CalendarEntry, result: CalendarResult) -> str:
    lines = [*load_lines(entry), f"Why: {entry.why}."]
    lines.append(f"Weather: {result.weather.source}. {result.weather.credit}".strip())
    lines.append(result.cautions[0].text)
    return "\n".join(lines)


def calendar_csv(result: CalendarResult) -> str:
    """Return the month states of every plant as CSV, one row a plant and spot."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    months = list(result.months[0].states)
    names = [MONTH_NAMES[int(m) - 1].lower() for m in months]
    writer.writerow(
        [
            "plant",
            "label",
            "count",
            "spot",
            *("preferred_c", "tolerated_c"),
            *names,
            *("move_in", "move_out", "watch_from", "watch_until"),
            *("usual_first_cold_night", "usual_last_cold_night"),
            *("room", "trip_in", "trip_out", "verdict", "may_be", "notes", "weather"),
        ]
    )
    credit = weather_line(result.weather)
    for row in result.months:
        writer.writerow(
            [
                _plain(row.plant),
                _plain(row.label),
                row.count,
                _plain(row.spot),
                *(row.preferred_c, row.tolerated_c),
                *row.states.values(),
                row.move_in.month_day or row.move_in.status,
                row.move_out.month_day or row.move_out.status,
                *("" if w is None else w.month_day for w in _watch(row)),
                row.usual.first_cold_night or "",
                row.usual.last_cold_night or "",
                _plain(row.room or ""),
                row.trip_in or "",
                row.trip_out or "",
                *(row.verdict, row.may_be or "", _plain("; ".join(row.notes))),
                credit,
            ]
        )
    return out.getvalue()


def _watch(row: PlantMonths) -> tuple[Move | None, Move | None]:
    return row.watch_from, row.watch_until


def _plain(text: str) -> str:
    """Return text that a spreadsheet will not take for a formula."""
    return f"'{text}" if text[:1] in "=+-@" else text
