"""Tables of the plants of a home: verdicts, limits and dates."""

from __future__ import annotations

from climrisk.commands.calendar.result import CalendarResult, PlantMonths
from climrisk.commands.calendar.text import room
from climrisk.commands.shared.dates_result import Move
from climrisk.commands.shared.dates_text import words
from climrisk.commands.shared.verdict_text import STATE_WORDS, month_cells, verdict_cell
from climrisk.core.wording import month_heads
from climrisk.render.answer import spoken
from climrisk.render.display_units import temperature
from climrisk.render.page import Table


def months_table(result: CalendarResult) -> Table:
    """Return where each plant belongs, month by month."""
    months = list(result.months[0].states)
    watched = any("watch" in r.states.values() for r in result.months)
    return Table(
        "Where each plant belongs, month by month"
        + (f" ({STATE_WORDS})" if watched else ""),
        ["plant", *month_heads(months)],
        [
            (f"{r.label} ({r.spot})", *month_cells(r.states, r.state_notes))
            for r in result.months
        ],
        kind="year",
    )


def verdicts_table(result: CalendarResult) -> Table:
    """Return the verdict of each plant at its spot, and what it needs or why not."""
    return Table(
        "Does each plant suit its spot?",
        ["plant", "spot", "verdict", "why, or what else it needs"],
        [
            (r.label, r.spot, verdict_cell(r.verdict, r.may_be), "; ".join(r.notes))
            for r in result.months
        ],
    )


def dates_table(result: CalendarResult) -> Table:
    """Return the dates of each plant, and the trips on which it goes."""
    return Table(
        f"Dates by a risk of {result.risk:.0%}, in spring {result.spring_risk:.0%}",
        ["plant", "inside by", "carried in", "out from", "carried out", "room"],
        [
            (
                *(r.label, words(r.move_in), spoken(r.trip_in)),
                *(words(r.move_out), spoken(r.trip_out), room(r)),
            )
            for r in result.months
        ],
    )


def limits_table(result: CalendarResult) -> Table:
    """Return the night minima of each plant, its usual cold nights and its watch."""
    return Table(
        "Nights: what each prefers and tolerates, and when it gets colder here",
        [
            *("plant", "prefers", "tolerates", "first colder night, usually"),
            *("last colder night, usually", "watch for harmful nights"),
        ],
        [
            (
                *(r.label, f"{temperature(r.preferred_c)}", tolerates(r)),
                *(spoken(r.usual.first_cold_night), spoken(r.usual.last_cold_night)),
                watch(r.watch_from, r.watch_until) or "–",
            )
            for r in result.months
        ],
    )


def tolerates(row: PlantMonths) -> str:
    """Return the coldest night that a plant tolerates, marked where we estimate it."""
    estimate = " (our estimate)" if row.tolerated_basis == "estimate" else ""
    return f"{temperature(row.tolerated_c)}{estimate}"


def watch(first: Move | None, last: Move | None) -> str:
    """Return the time of single harmful nights; nothing where there is none."""
    if first is None or last is None:
        return ""
    return f"{spoken(first.month_day)} to {spoken(last.month_day)}"


def labels_table(result: CalendarResult) -> Table:
    """Return a label for each kind of pot, to cut out."""
    return Table(
        "A label for each kind",
        ["plant", "prefers nights above", "never below", "moves", "spot"],
        [
            (r.label, temperature(r.preferred_c), tolerates(r), moves(r), r.spot)
            for r in result.months
        ],
        kind="labels",
    )


def moves(row: PlantMonths) -> str:
    """Return what is to be done with a plant through the year, short."""
    if row.indoors:
        return "stays in"
    if row.move_in.month_day is not None and row.move_out.month_day is not None:
        return f"in by {words(row.move_in)}, out from {words(row.move_out)}"
    watched = watch(row.watch_from, row.watch_until)
    return f"stays out; watch {watched}" if watched else words(row.move_in)
