"""What is seen first of a logger's file: the short answer and three facts."""

from __future__ import annotations

from datetime import date

from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.logger.text import logger_answer
from climrisk.core import quantities
from climrisk.render.summary import Summary, Tile, summary


def logger_summary(result: LoggerResult, _: date) -> Summary:
    """Return what a logger's file is."""
    known = result.weather.coverage_frac
    tiles = [
        Tile("Hours known", f"{100 * known:.0f} %", "of the file's days"),
        Tile(
            "Nights that count",
            f"{result.nights_counted} of {result.nights}",
            "known enough",
        ),
        Tile("Lowest", quantities.temperature(result.lowest_c, 1), "by the hour"),
    ]
    return summary(logger_answer(result), [result.weather.source], tiles=tiles)
