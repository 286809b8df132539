"""Page, chart and table of a logger's record."""

from __future__ import annotations

from functools import partial

from climrisk.commands.logger.chart import record_days
from climrisk.commands.logger.page import DAYS_WORDS, logger_page
from climrisk.commands.logger.result import LoggerResult
from climrisk.render.exports import Exports


def exports(result: LoggerResult) -> Exports:
    """Return page, chart and table of a logger's record."""
    return Exports(
        page=partial(logger_page, result),
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
