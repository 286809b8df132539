"""The move calendar as one page to print: trips of the coming year, a box a plant."""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.commands.calendar.exports import AWAY, coming_entries, load_plant
from climrisk.commands.calendar.result import CalendarEntry, CalendarResult, Load
from climrisk.render.display_units import day, weekday
from climrisk.render.text import weather_line

_WHAT = {
    "move in": "carry in",
    "move out": "put out, in shade first",
    "retreat": "move out of the heat",
    "return": "move back after the heat",
    "watch": "carry in on single nights",
}
_FIRST = {"move in": "pest check", "move out": "harden"}
_BEFORE = {"pest check": "look for pests", "harden": "harden off"}


def calendar_sheet(result: CalendarResult) -> str:
    """Return the trips of the year from today on, by spot and room, with boxes to tick.

    Type is as large as one page of paper allows for so many lines.
    """
    parts = sheet_parts(result)
    return str(_template().render(**{**parts, "size": f"{parts['size']:.1f}"}))


def sheet_parts(result: CalendarResult) -> dict[str, Any]:
    """Return what stands on the page: title, trips, notes, foot and size of type."""
    coming = coming_entries(result)
    moves = [e for e in coming if e.action in _WHAT]
    trips = [_trip(e, coming) for e in moves]
    notes = [
        f"{r.label} ({r.spot}), {r.verdict}: {'; '.join(r.notes)}."
        for r in result.months
        if r.verdict in ("poor match", "cannot say")
    ]
    subtitle = f"{result.sentence} Made for {day(result.as_of)}."
    foot = [
        weather_line(result.weather),
        " ".join(c.text for c in result.cautions[:3]),
        f"Made with climrisk {result.version}.",
    ]
    return {
        "title": f"Move calendar, {result.home}",
        "subtitle": subtitle,
        "trips": trips,
        "notes": notes,
        "nothing": "Nothing is to be moved in the coming year.",
        "size": _size(trips, notes, subtitle, foot),
        "foot": foot,
    }


#: Paper between its margins [mm], the lower of A4 and Letter with some room to spare,
#: and a point of type in mm.
_HIGH_MM, _WIDE_MM, _POINT_MM = 245.0, 190.0, 0.353
_LINE = 1.28
_LARGEST, _SMALLEST = 12, 7
#: Width of a letter, and of the column that names spot and room, in sizes of type.
_LETTER, _WAY = 0.54, 11.0


def _size(
    trips: Sequence[dict[str, Any]],
    notes: Sequence[str],
    subtitle: str,
    foot: Sequence[str],
) -> float:
    """Return the largest size of type with which all stands on one page. [pt]"""
    for size in range(_LARGEST, _SMALLEST, -1):
        wide = _WIDE_MM / (size * _POINT_MM)
        lines = 3.5 + _wraps(subtitle, wide)
        lines += sum(_trip_lines(trip, wide) for trip in trips)
        lines += 2.5 + sum(_wraps(n, wide) for n in notes) if notes else 0.0
        lines += 0.8 * sum(_wraps(line, wide / 0.78) for line in foot)
        if lines * _LINE * size * _POINT_MM <= _HIGH_MM:
            return float(size)
    return float(_SMALLEST)


def _trip_lines(trip: dict[str, Any], wide: float) -> float:
    """Return about how many lines a trip takes; its plants stand in two columns."""
    lines = 2.3 + len(trip["before"])
    column = (wide - _WAY) / 2 - 3
    for load in trip["loads"]:
        high = [_wraps(p["text"], column) for p in load["plants"]]
        rows = sum(max(high[i : i + 2]) for i in range(0, len(high), 2))
        lines += 0.4 + max(rows, _wraps(load["way"], _WAY))
    return lines


def _wraps(text: str, wide: float) -> int:
    """Return how many lines a text takes in a width of so many sizes of type."""
    return max(1, math.ceil(len(text) * _LETTER / wide))


def _trip(entry: CalendarEntry, coming: list[CalendarEntry]) -> dict[str, Any]:
    before = [
        e
        for e in coming
        if e.trip == entry.trip
        and e.action == _FIRST.get(entry.action)
        and 0 < (date.fromisoformat(entry.date) - date.fromisoformat(e.date)).days < 30
    ]
    count = sum(p.count for load in entry.loads for p in load.plants)
    return {
        "day": _when(entry),
        "what": f"{_WHAT[entry.action]}, {count} pot{'s' * (count > 1)}",
        "before": [_early(e) for e in before],
        "loads": [
            {
                "way": _way(load, entry.action),
                "plants": [
                    {"text": load_plant(p), "heavy": p.heavy} for p in load.plants
                ],
            }
            for load in entry.loads
        ],
    }


def _when(entry: CalendarEntry) -> str:
    first = weekday(entry.date)
    return first if entry.until is None else f"{first} to {_day(entry.until)}"


def _early(entry: CalendarEntry) -> str:
    words = _BEFORE[entry.action]
    if entry.action == "harden":
        words = f"{words}: {entry.why.split(';')[0]}"
    return f"{_day(entry.date)}: {words}"


def _way(load: Load, action: str) -> str:
    if load.room is None:
        return load.spot
    ends = (load.spot, load.room) if action in AWAY else (load.room, load.spot)
    return f"{ends[0]} → {ends[1]}"


def _day(iso: str) -> str:
    return weekday(iso, year=False)


@lru_cache(maxsize=1)
def _template() -> Any:
    from jinja2 import Environment, StrictUndefined

    text = (
        resources.files("climrisk.render")
        .joinpath("templates/sheet.html")
        .read_text("utf-8")
    )
    engine = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True)
    return engine.from_string(text)
