"""The move calendar as one page to print: trips of the coming year, a box a plant."""

from __future__ import annotations

from datetime import date
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.commands.calendar.exports import AWAY, coming_entries, load_plant
from climrisk.commands.calendar.result import CalendarEntry, CalendarResult, Load
from climrisk.render.display_units import weekday
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
    lines = sum(
        3 + len(t["before"]) + sum(1 + -(-len(p["plants"]) // 2) for p in t["loads"])
        for t in trips
    )
    # 277 mm of paper; a line takes about 1.28 of the type's size, and 0.35 mm a point.
    # Heading, summary and foot take up to eleven lines more.
    size = max(7.0, min(12.0, 280 / (1.35 * 0.353 * (lines + 11))))
    return {
        "title": f"Move calendar, {result.home}",
        "subtitle": f"{result.sentence} Made for {result.as_of}.",
        "trips": trips,
        "notes": [
            f"{r.label} ({r.spot}), {r.verdict}: {'; '.join(r.notes)}."
            for r in result.months
            if r.verdict in ("poor match", "cannot say")
        ],
        "nothing": "Nothing is to be moved in the coming year.",
        "size": size,
        "foot": [
            weather_line(result.weather),
            " ".join(c.text for c in result.cautions[:3]),
            f"Made with climrisk {result.version}.",
        ],
    }


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
    day = weekday(entry.date)
    return day if entry.until is None else f"{day} to {_day(entry.until)}"


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
