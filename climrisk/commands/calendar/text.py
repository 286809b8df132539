"""The move calendar as words for a terminal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from climrisk.commands.calendar.exports import coming_entries, load_lines, summary
from climrisk.commands.calendar.result import CalendarEntry, CalendarResult, PlantMonths
from climrisk.commands.shared.chilling_result import WantedInfo
from climrisk.commands.shared.dates_text import words
from climrisk.core.quantities import DEGREES
from climrisk.core.references import by, field
from climrisk.core.wording import month_heads, one_in, plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import (
    Answer,
    Part,
    Rows,
    Words,
    brief,
    day_of,
    some,
    spoken,
)
from climrisk.render.display_units import temperatures, weekday
from climrisk.render.tables import table
from climrisk.render.text import weather_text

#: What each action is called in a short list; others go with one of these.
_MOVES = {
    "move in": "in",
    "move out": "out",
    "retreat": "to the cool",
    "return": "back",
    "watch": "watch",
}
_NEXT = 3
#: Up to so many kinds are named one by one.
_FEW_NAMES = 5
#: Fewer winters than this are said.
_FEW_WINTERS = 10


def calendar_answer(result: CalendarResult) -> Answer:
    """Return what should be inside by now, the next moves, and a list by spot."""
    moves = _next_rows(result)
    n = result.months[0].move_in.n
    risk = one_in(result.risk) + by(cli=f" ({field('risk')})")
    sure = f"A harmful night before a plant is in: {risk}."
    if result.weather.kind == "typical":
        sure = "This file is a typical year: it gives months, but no dates."
    elif n < _FEW_WINTERS:
        sure = f"How sure: this rests on {plural(n, 'winter')} only. {sure}"
    noted = _by_notes(result)
    parts: list[Part] = [
        Words("Next"),
        Rows(
            moves[:_NEXT],
            rank=2,
            tight=True,
            least=2,
            left_out=len(moves[_NEXT:]),
            what="later move",
        ),
        Words("By spot"),
        Rows(_by_spot(result), rank=1, tight=True, least=3, what="more spot"),
        Words(_poor(result), rank=3),
        Words(sure, rank=1, tight=True),
    ]
    if not moves:
        parts = parts[2:]
    if noted:
        parts.insert(0, Words(noted))
    return Answer(
        today_line(result),
        [p for p in parts if not isinstance(p, Words) or p.text],
        "each plant, months, rooms",
        result.cautions,
        result.files,
    )


def _by_notes(result: CalendarResult) -> str:
    """Return what is not yet where it should be by the notes, or nothing without."""
    if all(r.inside is None for r in result.months):
        return ""
    due = [r for r in result.months if should_be_inside(r, result.as_of)]
    out = [_at(r) for r in due if not r.inside]
    still = [_at(r) for r in result.months if r.inside and _may_be_out(r, result)]
    texts = [f"Still outside by your notes: {some(out)}."] if out else []
    texts += [f"Still inside by your notes: {some(still)}."] if still else []
    if due and not out:
        texts.insert(0, "By your notes they all are.")
    return " ".join(texts)


def _at(row: PlantMonths) -> str:
    return f"{row.count} {short_name(row.label)} ({row.spot})"


def _may_be_out(row: PlantMonths, result: CalendarResult) -> bool:
    """Return whether a plant that lives outdoors need not be inside today."""
    never_out = row.indoors or row.move_in.status == "always"
    return not never_out and not should_be_inside(row, result.as_of)


def _poor(result: CalendarResult) -> str:
    names = dict.fromkeys(
        f"{short_name(r.label)} ({r.spot})"
        for r in result.months
        if r.verdict == "poor match"
    )
    return f"Poor match where they are: {some(list(names))}." if names else ""


def should_be_inside(row: PlantMonths, today: str) -> bool:
    """Return whether a plant's trip in has passed and its trip out has not.

    A plant for which every month is too cold should be inside on any day.
    """
    if row.trip_in is None or row.trip_out is None:
        return row.move_in.status == "always" and not row.indoors
    day, into, out = today[5:], row.trip_in, row.trip_out
    return into <= day < out if into < out else day >= into or day < out


def today_line(result: CalendarResult) -> str:
    """Return what should be inside today."""
    movers = [r for r in result.months if not r.indoors]
    inside = [r for r in movers if should_be_inside(r, result.as_of)]
    total, count = (sum(r.count for r in rows) for rows in (movers, inside))
    day = f"Today, {day_of(result.as_of)}:"
    if not total:
        return f"{day} all {_plants(result.months)} live indoors."
    if not count:
        return f"{day} no plant needs to be inside."
    since = sorted(
        {r.trip_in for r in inside if r.trip_in is not None},
        key=lambda d: (d > result.as_of[5:], d),
    )
    when = f" (since {spoken(since[-1])})" if since else ""
    if total == 1:
        return f"{day} it should be inside{when}."
    if count == total:
        return f"{day} all {total} plants should be inside{when}."
    return f"{day} {count} of {total} plants should be inside{when}."


def _plants(rows: Iterable[PlantMonths]) -> str:
    return plural(sum(r.count for r in rows), "plant")


def _next_rows(result: CalendarResult) -> list[tuple[str, str, str]]:
    """Return the coming moves by date; all times of single cold nights are one row."""
    coming = [e for e in coming_entries(result) if e.action in _MOVES]
    watch = [e for e in coming if e.action == "watch"]
    rows = []
    for entry in coming:
        if entry.action != "watch":
            rows.append(
                (day_of(entry.date), _MOVES[entry.action], _move(entry, result))
            )
        elif entry is watch[0]:
            until = max(e.until or e.date for e in watch)
            text = f"{_names(watch)}: carry in on single cold nights"
            began = day_of(entry.date) if entry.date > result.as_of else "now"
            rows.append((began, "watch", f"{text} until {day_of(until)}"))
    return rows


def _names(entries: Sequence[CalendarEntry]) -> str:
    """Return how many of which plants move, the most numerous first."""
    counts: Counter[str] = Counter()
    for entry in entries:
        for load in entry.loads:
            for plant in load.plants:
                counts[short_name(plant.label)] += plant.count
    names = [f"{n} {name}" for name, n in counts.most_common()]
    if len(names) <= _FEW_NAMES:
        return "; ".join(names)
    spots: Counter[str] = Counter()
    for entry in entries:
        for load in entry.loads:
            spots[load.spot] += sum(plant.count for plant in load.plants)
    where = some([f"{spot} {n}" for spot, n in spots.most_common()])
    return f"{sum(counts.values())} plants ({where})"


def _move(entry: CalendarEntry, result: CalendarResult) -> str:
    """Return the plants of a move, and what goes before it."""
    action = {"move out": "harden", "move in": "pest check"}.get(entry.action)
    season = (date.fromisoformat(entry.date) - timedelta(days=60)).isoformat()
    days = [
        e.date
        for e in result.entries
        if e.trip == entry.trip and e.action == action and season < e.date <= entry.date
    ]
    text = _names([entry])
    if not days:
        return text
    if action == "harden":
        return f"{text}; harden off from {day_of(min(days))}"
    return f"{text}; check for pests {day_of(max(days))}"


def _by_spot(result: CalendarResult) -> list[tuple[str, str]]:
    """Return a line a spot: how many of its plants winter in which way."""
    groups: dict[str, list[PlantMonths]] = {}
    for row in result.months:
        groups.setdefault(row.spot, []).append(row)
    return [(spot, _spot_line(rows)) for spot, rows in groups.items()]


def _spot_line(rows: Sequence[PlantMonths]) -> str:
    movers = [r for r in rows if r.trip_in is not None and r.trip_out is not None]
    texts = []
    if movers and not all(r.indoors for r in movers):
        into = _between({r.trip_in or "" for r in movers})
        out = _between({r.trip_out or "" for r in movers})
        count = sum(r.count for r in movers)
        texts.append(f"{count} in {into}, out {out}")
    others: Counter[str] = Counter()
    for row in rows:
        if row not in movers:
            others[_winters(row)] += row.count
    return "; ".join([*texts, *(f"{n} {words}" for words, n in others.items())])


def _between(days: set[str]) -> str:
    """Return a date, or the first and last of several of one season."""
    ordered = sorted(days)
    return " to ".join(brief(d) for d in dict.fromkeys((ordered[0], ordered[-1])))


def _winters(row: PlantMonths) -> str:
    """Return where a plant is in winter, in a few words."""
    if row.indoors:
        return "indoors all year"
    if row.move_in.status == "always":
        return "too cold all year"
    if row.watch_from is not None:
        return "out, in on single nights"
    if row.move_in.month_day is None and row.move_in.status != "never":
        return words(row.move_in)
    return "out"


def calendar_text(result: CalendarResult) -> str:
    """Return the calendar in full: sentence, month states, dates, entries, cautions."""
    months = list(result.months[0].states)
    states = table(
        ["plant", "spot", *month_heads(months)],
        [(r.label, r.spot, *r.states.values()) for r in result.months],
    )
    dates = table(
        [
            *("plant", "spot", f"tolerates {DEGREES}", "inside by", "trip in"),
            *("out from", "trip out", "room"),
        ],
        [
            (
                *(r.label, r.spot, f"{r.tolerated_c:g}"),
                *(words(r.move_in), spoken(r.trip_in)),
                *(words(r.move_out), spoken(r.trip_out), room(r)),
            )
            for r in result.months
        ],
    )
    entries = [
        "\n".join(
            [
                f"{weekday(e.date)}  {summary(e)}",
                *(f"    {line}" for line in load_lines(e)),
            ]
        )
        for e in coming_entries(result)
    ]
    wanted = [r.wanted.sentence for r in result.months if r.wanted is not None]
    notes = [
        f"{r.label}, {r.spot}: {'; '.join(r.notes)}." for r in result.months if r.notes
    ]
    parts = [result.sentence, states, dates, "\n".join(notes), "\n".join(wanted)]
    if entries:
        parts.append("\n".join(entries))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(part for part in parts if part)


def wish(wanted: WantedInfo) -> str:
    """Return the cold that is wanted, short."""
    count = "" if wanted.nights_wanted is None else f"{wanted.nights_wanted} "
    return f"{count}{wanted.counted}s of {temperatures(wanted.low_c, wanted.high_c)}"


def room(row: PlantMonths) -> str:
    """Return the winter room, and whether it serves."""
    if row.room is None:
        return "stays"
    return row.room if row.room_serves else f"{row.room} ({row.room_why})"
