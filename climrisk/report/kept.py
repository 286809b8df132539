"""Sheets about the plants of a home: nearest to its limit first, and for the wall."""

from __future__ import annotations

from datetime import date, timedelta

from climrisk.report import figures as draw
from climrisk.report.agenda import WORDS, load_lines
from climrisk.report.calendar_text import words
from climrisk.report.page import Page, Picture, Section, Table, weather_footer
from climrisk.report.sections import or_unknown
from climrisk.result.calendar import CalendarResult, PlantMonths

KEPT_WORDS = (
    "Thick line: from the night that one in ten undercuts to the middle night; "
    "diamond: the coldest seen; upright mark: the plant's own night minimum. Over all "
    "years at the spot, from today on."
)


def by_margin(result: CalendarResult) -> list[PlantMonths]:
    """Return the plants, nearest to its limit first; outdoors before indoors."""

    def place(row: PlantMonths) -> tuple[bool, bool, float]:
        margin = row.coming.margin_k
        return (row.indoors, margin is None, 0.0 if margin is None else margin)

    return sorted(result.months, key=place)


def kept_sheet(result: CalendarResult) -> Page:
    """Return the plants of a home, a line each, nearest to its limit first."""
    rows = by_margin(result)
    month = str(int(result.as_of[5:7]))
    table = Table(
        "Nearest to its limit first",
        [
            "plant",
            "spot",
            "keep above",
            "one night in ten below",
            "margin, °C",
            "this month",
            "next move",
        ],
        [
            (
                r.label + (f" ({r.count})" if r.count > 1 else ""),
                r.spot,
                f"{r.tolerated_c:g} °C",
                "?" if r.coming.low_c is None else f"{r.coming.low_c:g} °C",
                or_unknown(r.coming.margin_k),
                "indoors" if r.indoors else r.states[month],
                _next_move(r),
            )
            for r in rows
        ],
    )
    return Page(
        f"My plants: {result.home}",
        f"Nights from {result.as_of} on, over all years",
        [
            Section(
                "The next two weeks, as past years had them",
                _sentence(rows),
                figures=[Picture("kept1", draw.kept_lines(rows), KEPT_WORDS)],
                tables=[table],
            )
        ],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def _sentence(rows: list[PlantMonths]) -> str:
    outside = [r for r in rows if not r.indoors and r.coming.margin_k is not None]
    if not outside:
        return "No plant stands outdoors, or nothing is known of its nights."
    below = [r for r in outside if (r.coming.margin_k or 0.0) < 0]
    first = outside[0]
    margin = abs(first.coming.margin_k or 0.0)
    side = "below" if first in below else "above"
    nearest = (
        f"{first.label} on {first.spot} is nearest: one night in ten falls below "
        f"{first.coming.low_c:g} °C, {margin:g} °C {side} the "
        f"{first.tolerated_c:g} °C it tolerates"
    )
    if not below:
        return f"No plant is likely to meet its limit in the next two weeks. {nearest}."
    share = f"{len(below)} of {len(outside)} kinds of plants"
    return f"{share} would meet nights below their limit if left out. {nearest}."


def _next_move(row: PlantMonths) -> str:
    moves = [
        (m.next_date, word)
        for m, word in ((row.move_in, "in by"), (row.move_out, "out from"))
        if m.next_date is not None
    ]
    if row.indoors:
        return "stays in"
    if not moves:
        return words(row.move_in)
    day, word = min(moves)
    return f"{word} {day}"


def print_sheet(result: CalendarResult) -> Page:
    """Return what hangs on the wall: days to tick, and a label for each kind of pot."""
    first = date.fromisoformat(result.as_of)
    last = first + timedelta(days=365)
    coming = [e for e in result.entries if first.isoformat() <= e.date < f"{last}"]
    days = Table(
        "To tick",
        ["", "day", "what", "which"],
        [
            ("[ ]", _day(e.date), WORDS[e.action], "; ".join(load_lines(e)))
            for e in coming
        ],
    )
    labels = Table(
        "A label for each kind",
        ["plant", "keep above", "inside by", "out from", "spot"],
        [
            (
                r.label,
                f"{r.tolerated_c:g} °C",
                words(r.move_in),
                words(r.move_out),
                r.spot,
            )
            for r in result.months
        ],
        kind="labels",
    )
    return Page(
        f"Moves of {result.home}",
        f"Risk {result.risk:.0%} a year; made on {result.as_of}",
        [
            Section("What to do, trip by trip", result.sentence, tables=[days]),
            Section("Pot labels", "Cut along the lines.", tables=[labels]),
        ],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def _day(iso: str) -> str:
    return f"{date.fromisoformat(iso):%a} {iso}"
