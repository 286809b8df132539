"""The page of a moving calendar."""

from __future__ import annotations

from climrisk.commands.calendar.exports import WORDS, coming_entries, load_lines
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.calendar.tables import (
    dates_table,
    limits_table,
    months_table,
    verdicts_table,
)
from climrisk.commands.calendar.text import wish
from climrisk.commands.shared.verdict_text import beside
from climrisk.render.answer import spoken
from climrisk.render.display_units import day, weekday
from climrisk.render.page import Page, Section, Table, page_of
from climrisk.render.text import span


def calendar_section(result: CalendarResult) -> Section:
    """Return the section of the calendar: days with tick boxes, months, verdicts."""
    cool = Table(
        "Cold that it needs",
        ["plant", "wants", "has before it moves in", "done by"],
        [
            (
                r.label,
                wish(r.wanted),
                span(r.wanted.before_move_in, 0),
                spoken(r.wanted.done_by),
            )
            for r in result.months
            if r.wanted is not None
        ],
        folded=True,
    )
    days = Table(
        "What to do, and when",
        ["", "day", "what", "from and to", "why"],
        [
            (
                "[ ]",
                weekday(e.date),
                WORDS[e.action],
                "; ".join(load_lines(e)),
                e.why,
            )
            for e in coming_entries(result)
        ],
    )
    return Section(
        "Move calendar",
        result.sentence,
        tables=[
            months_table(result),
            *([days] if days.rows else []),
            verdicts_table(result),
            dates_table(result),
            limits_table(result),
            *([cool] if cool.rows else []),
        ],
        beside=beside(result.months[0].basis),
    )


def moves_sheet(result: CalendarResult) -> Page:
    """Return the move calendar as one sheet."""
    return page_of(
        result,
        f"Move calendar, {result.home}",
        f"Risk {result.risk:.0%} a year; made for {day(result.as_of)}",
        [calendar_section(result)],
    )
