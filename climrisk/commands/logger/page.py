"""The page of a logger's file."""

from __future__ import annotations

from climrisk.commands.logger.chart import record_days
from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.logger.text import (
    COLUMN_HEADER,
    MONTH_HEADER,
    column_rows,
    month_rows,
)
from climrisk.core.quantities import DEGREES
from climrisk.render.page import Page, Picture, Section, Table, render, weather_footer
from climrisk.render.text import or_unknown

DAYS_WORDS = (
    "A bar a day, from its lowest to its highest hour; pale where less than 80 % of "
    "the day is known, gray where nothing is; a triangle where readings were flagged."
)


def logger_sheet(result: LoggerResult) -> Page:
    """Return what a logger's file is as a page."""
    days = Table(
        "Every day",
        ["date", "hours known", f"lowest {DEGREES}", f"highest {DEGREES}", "marked"],
        [
            (
                d.date,
                f"{d.hours_known} of {d.hours}",
                or_unknown(d.lowest_c),
                or_unknown(d.highest_c),
                d.marked,
            )
            for d in result.days
        ],
        folded=True,
    )
    marks = Table(
        "Readings taken out",
        ["variable", "mark", "readings", "because"],
        [(m.variable, m.mark, m.readings, m.meaning) for m in result.weather.marks],
    )
    section = Section(
        "The record",
        result.sentence,
        reasons=result.worth,
        figures=[Picture("days1", record_days(result), DAYS_WORDS)],
        tables=[
            Table("Month by month", MONTH_HEADER, month_rows(result)),
            Table("Columns", COLUMN_HEADER, column_rows(result)),
            *([marks] if result.weather.marks else []),
            days,
        ],
    )
    return Page(
        result.weather.source,
        f"Clock: {result.table.clock}",
        [section],
        (),
        weather_footer(result.weather, result.version),
    )


def logger_page(result: LoggerResult) -> str:
    """Return what a logger's file is as a page in one file."""
    return render(logger_sheet(result))
