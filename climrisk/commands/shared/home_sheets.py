"""Sheets about the plants of a home: nearest to its limit first, and for the wall."""

from __future__ import annotations

from datetime import date

from climrisk.commands.calendar.chart import kept_lines
from climrisk.commands.calendar.exports import WORDS, coming_entries, load_lines
from climrisk.commands.calendar.result import CalendarResult, PlantMonths
from climrisk.commands.shared.home_tables import (
    dates_table,
    limits_table,
    month_cell,
    moves,
    next_move,
    tolerates,
    verdict_cell,
    verdicts_table,
)
from climrisk.commands.shared.sections import or_unknown
from climrisk.core.quantities import DEGREES_APART
from climrisk.render.display_units import difference, temperature
from climrisk.render.page import Page, Picture, Section, Table, weather_footer

KEPT_WORDS = (
    "Thick line: nights of the next two weeks in all years, from the coldest in ten to "
    "the middle one; diamond: the coldest seen. Upright mark: the coldest night the "
    "plant tolerates; triangle: the night minimum it prefers."
)


def by_margin(result: CalendarResult) -> list[PlantMonths]:
    """Return the plants, nearest to its limit first; outdoors before indoors."""

    def place(row: PlantMonths) -> tuple[bool, bool, float]:
        margin = row.coming.margin_k
        inside = row.indoors or bool(row.inside)
        return (inside, margin is None, 0.0 if margin is None else margin)

    return sorted(result.months, key=place)


def kept_sheet(result: CalendarResult) -> Page:
    """Return the plants of a home, a line each, nearest to its limit first."""
    rows = by_margin(result)
    month = str(int(result.as_of[5:7]))
    table = Table(
        "Nearest to its limit first",
        [
            *("plant", "spot", "verdict", "tolerates", "one night in ten below"),
            *(f"margin, {DEGREES_APART}", "this month", "next move"),
        ],
        [
            (
                r.label + (f" ({r.count})" if r.count > 1 else ""),
                r.spot,
                verdict_cell(r.verdict, r.may_be),
                tolerates(r),
                "?" if r.coming.low_c is None else f"{temperature(r.coming.low_c)}",
                or_unknown(r.coming.margin_k),
                _this_month(r, month),
                next_move(r),
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
                figures=[Picture("kept1", kept_lines(rows), KEPT_WORDS)],
                tables=[
                    table,
                    verdicts_table(result),
                    limits_table(result),
                    dates_table(result),
                ],
            )
        ],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def _sentence(rows: list[PlantMonths]) -> str:
    outside = [
        r for r in rows if not (r.indoors or r.inside) and r.coming.margin_k is not None
    ]
    if not outside:
        return "No plant is outdoors, or its nights are not known."
    below = [r for r in outside if (r.coming.margin_k or 0.0) < 0]
    first = outside[0]
    margin = abs(first.coming.margin_k or 0.0)
    side = "below" if first in below else "above"
    nearest = (
        f"{first.label} on {first.spot} is nearest: one night in ten falls below "
        f"{temperature(first.coming.low_c)}, {difference(margin)} {side} the "
        f"{temperature(first.tolerated_c)} it tolerates"
    )
    if not below:
        return f"No harmful night is likely in the next two weeks. {nearest}."
    share = f"{len(below)} of {len(outside)} kinds"
    return f"{share} would see nights colder than they tolerate if left out. {nearest}."


def _this_month(row: PlantMonths, month: str) -> str:
    if row.indoors:
        return "indoors"
    return month_cell(row.states[month], row.state_notes.get(month))


def print_sheet(result: CalendarResult) -> Page:
    """Return what hangs on the wall: days to tick, and a label for each kind of pot."""
    days = Table(
        "To tick",
        ["", "day", "what", "which"],
        [
            ("[ ]", _day(e.date), WORDS[e.action], "; ".join(load_lines(e)))
            for e in coming_entries(result)
        ],
    )
    labels = Table(
        "A label for each kind",
        ["plant", "prefers nights above", "never below", "moves", "spot"],
        [
            (r.label, f"{temperature(r.preferred_c)}", tolerates(r), moves(r), r.spot)
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
