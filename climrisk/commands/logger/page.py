"""The page of a logger's file."""

from __future__ import annotations

from functools import partial

from climrisk.commands.logger.chart import record_days
from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.logger.text import (
    COLUMN_HEADER,
    MONTH_HEADER,
    column_rows,
    month_rows,
)
from climrisk.core.quantities import DEGREES
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of
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
    return page_of(
        result,
        result.weather.source,
        f"Clock: {result.table.clock}",
        [section],
    )


def exports(result: LoggerResult) -> Exports:
    """Return page, chart and table of a logger's record."""
    return Exports(
        sheet=partial(logger_sheet, result),
        figure=partial(record_days, result),
        title=f"{result.weather.source}, day by day",
        words=DAYS_WORDS,
        header=["date", "hours", "hours_known", "lowest_c", "highest_c", "marked"],
        rows=lambda: [
            (d.date, d.hours, d.hours_known, d.lowest_c, d.highest_c, d.marked)
            for d in result.days
        ],
        weather=result.weather,
    )
