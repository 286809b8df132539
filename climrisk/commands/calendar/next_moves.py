"""The plants of a home by what is to be done with them next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from climrisk.commands.calendar.result import CalendarResult, PlantMonths
from climrisk.commands.calendar.ribbon import moving_days
from climrisk.commands.calendar.text import should_be_inside
from climrisk.core.wording import listed, plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import brief
from climrisk.render.display_units import day_in_words

MoveGroup = Literal["late", "next", "later", "out", "inside"]

_NUMBERS = (
    *("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"),
    *("ten", "eleven", "twelve"),
)
_WEEKDAYS = (
    *("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"),
)
#: Up to so many plants are named one by one.
_FEW = 3


@dataclass(frozen=True)
class NextMove:
    """A plant and what is to be done with it next.

    Parameters
    ----------
    row : PlantMonths
    group : str
        ``late`` should be inside, ``next`` goes on the next trip, ``later`` has another
        date, ``out`` and ``inside`` stay where they are all year.
    action, when : str
        Such as ``Carry in`` and ``by 27 Oct``.
    due : date or None
        The day that `when` names, where it is ahead.
    to : str or None
        Where it goes.
    """

    row: PlantMonths
    group: MoveGroup
    action: str
    when: str
    due: date | None = None
    to: str | None = None


def plant_lines(result: CalendarResult) -> list[NextMove]:
    """Return the plants of a calendar in its order, each with what comes next."""
    today = date.fromisoformat(result.as_of)
    lines = [_line(row, today) for row in result.months]
    trips = [x.due for x in lines if x.action in ("Carry in", "Carry out") and x.due]
    first = min(trips, default=None)
    return [
        NextMove(x.row, "next", x.action, x.when, x.due, x.to)
        if x.group == "later" and x.due == first and x.action.startswith("Carry")
        else x
        for x in lines
    ]


def _line(row: PlantMonths, today: date) -> NextMove:
    into, out = moving_days(row)
    if row.indoors:
        return NextMove(row, "inside", "Stays in", "all year")
    if should_be_inside(row, today.isoformat()) and into and out:
        if row.inside:
            due = _next(out, today)
            return NextMove(
                row, "later", "Carry out", f"from {_day(due)}", due, row.spot
            )
        return NextMove(row, "late", "Carry in", f"since {brief(into)}", None, row.room)
    if row.inside and out:
        return NextMove(
            row, "later", "May go out", f"since {brief(out)}", None, row.spot
        )
    ahead = _ahead(row, today, into)
    if ahead:
        due, action, word, to = min(ahead, key=lambda one: one[0])
        return NextMove(row, "later", action, f"{word} {_day(due)}", due, to)
    if row.move_in.status == "typical year":
        return NextMove(row, "later", *_this_month(row, today))
    if row.states and set(row.states.values()) == {"in"}:
        return NextMove(row, "late", "Carry in", "too cold all year", None, row.room)
    if "unknown" in row.states.values():
        return NextMove(row, "later", "No date", "too few winters on record")
    return NextMove(row, "out", "Stays out", "all year")


def _ahead(
    row: PlantMonths, today: date, into: str | None
) -> list[tuple[date, str, str, str | None]]:
    """Return what is to come: the day, what to do, a word before it, and where to."""
    out: list[tuple[date, str, str, str | None]] = []
    if into:
        out.append((_next(into, today), "Carry in", "by", row.room))
    if row.retreat_months:
        first = f"{row.retreat_months[0]:02d}-01"
        end = f"{row.retreat_months[-1] % 12 + 1:02d}-01"
        if today.month in row.retreat_months:
            out.append((_next(end, today), "Out of the heat", "until", row.retreat))
        else:
            out.append((_next(first, today), "Out of the heat", "from", row.retreat))
    begin, until = row.watch_from, row.watch_until
    if begin and until and begin.month_day and until.month_day:
        starts, ends = _next(begin.month_day, today), _next(until.month_day, today)
        if ends < starts:
            out.append((ends, "Watch", "until", row.room))
        else:
            out.append((starts, "Watch", "from", row.room))
    return out


def _this_month(row: PlantMonths, today: date) -> tuple[str, str]:
    state = row.states[str(today.month)]
    words = {"in": "Carry in", "watch": "Watch", "out": "Out"}
    return words.get(state, "Not known"), "this month"


def _next(month_day: str, today: date) -> date:
    """Return the next day of this name, today included."""
    month, day = (int(part) for part in month_day.split("-"))
    year = today.year + ((month, day) < (today.month, today.day))
    # The last of February exists in every year.
    return date(year, month, min(day, 28) if month == 2 else day)


def _day(day: date) -> str:
    return day_in_words(day, brief=True)


def long_day(day: date) -> str:
    """Return a day as Tuesday 27 October."""
    return f"{_WEEKDAYS[day.weekday()]} {day_in_words(day)}"


def pots(lines: Sequence[NextMove]) -> int:
    """Return how many pots these are."""
    return sum(line.row.count for line in lines)


def number(count: int) -> str:
    """Return a count as a word up to twelve."""
    return _NUMBERS[count] if count < len(_NUMBERS) else f"{count:,}"


def headline(lines: Sequence[NextMove]) -> str:
    """Return what matters most, in one sentence without a full stop."""
    late = [x for x in lines if x.group == "late"]
    coming = [x for x in lines if x.group == "next"]
    if late:
        count = pots(late)
        what = f"{number(count)} plant{'s' * (count != 1)}".capitalize()
        return f"{what} should be inside by now"
    if coming and coming[0].due is not None:
        count, way = pots(coming), coming[0].action.rpartition(" ")[2]
        what = f"{number(count)} plant{'s' * (count != 1)}".capitalize()
        goes = "go" if count != 1 else "goes"
        word = "by" if way == "in" else "from"
        return f"{what} {goes} {way} {word} {long_day(coming[0].due)}"
    return "Every plant is where it should be"


def due_lines(lines: Sequence[NextMove]) -> list[tuple[str, str]]:
    """Return what to do now and next, each with its sentence."""
    late = [x for x in lines if x.group == "late"]
    coming = [x for x in lines if x.group == "next"]
    out = []
    if late:
        out.append(("Now", f"Carry in {_named(late)}{_whither(late)}."))
    if coming and coming[0].due is not None:
        word = "by" if coming[0].action == "Carry in" else "from"
        what = f"{coming[0].action} {_named(coming)}{_whither(coming)}"
        out.append(("Next", f"{what} {word} {long_day(coming[0].due)}."))
        return out
    later = [x for x in lines if x.due is not None]
    first = min((x.due for x in later if x.due), default=None)
    if first is not None:
        due = [x for x in later if x.due == first]
        what = f"{due[0].action} {_named(due)} {due[0].when.split()[0]}"
        if due[0].action == "Watch":
            what = f"Watch {_named(due)} on cold nights {due[0].when.split()[0]}"
        out.append(("Next", f"{what} {long_day(first)}."))
    return out


def _named(lines: Sequence[NextMove]) -> str:
    if len(lines) > _FEW:
        return plural(pots(lines), "plant")
    return listed([_counted(x.row) for x in lines])


def _counted(row: PlantMonths) -> str:
    name = short_name(row.label)
    return f"{row.count} {name}" if row.count > 1 else name


def _whither(lines: Sequence[NextMove]) -> str:
    places = list(dict.fromkeys(x.to for x in lines if x.to))
    return f" to the {places[0]}" if len(places) == 1 and places[0] else ""


def group_title(group: MoveGroup, lines: Sequence[NextMove]) -> tuple[str, str]:
    """Return the title of a group and what stands beside it."""
    count = plural(pots(lines), "plant")
    first = lines[0]
    if group == "late":
        return "Should be inside", f"{count}{_trip(lines)}"
    if group == "next" and first.due is not None:
        way = "in" if first.action == "Carry in" else "out"
        return f"Next trip {way}: {long_day(first.due)}", f"{count}{_trip(lines)}"
    titles = {"later": "Later", "out": "Out all year", "inside": "Inside all year"}
    return titles[group], count


def _trip(lines: Sequence[NextMove]) -> str:
    """Return from where to where, where all go the same way."""
    ends = {(x.row.spot, x.to) for x in lines if x.to}
    if len(ends) == 1:
        spot, to = ends.pop()
        return f", {spot} to {to}" if spot != to else f", to the {to}"
    goals = {to for _, to in ends}
    return f", to the {goals.pop()}" if len(goals) == 1 else ""
