"""What is seen first of the calendar: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.calendar.text import calendar_answer
from climrisk.render.summary import Summary, summary


def calendar_summary(result: CalendarResult, _: date) -> Summary:
    """Return what should be inside by now, and the next moves."""
    return summary(calendar_answer(result), [result.home])
