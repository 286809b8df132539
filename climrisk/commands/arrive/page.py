"""What to do with a new plant, as words for a terminal and as a page."""

from __future__ import annotations

from climrisk.commands.arrive.result import ArriveResult
from climrisk.commands.arrive.text import SPAN_HEADER, WEEK_HEADER, span_rows, week_rows
from climrisk.render.display_units import day
from climrisk.render.page import Page, Section, Table, page_of


def arrive_sheet(result: ArriveResult) -> Page:
    """Return the answer as a page."""
    section = Section(
        f"{result.plant.name}, arriving {day(result.as_of)}",
        result.sentence,
        "put out now" if result.put_out_now else "hold indoors",
        [f"{c.words} ({c.basis})" for c in result.aftercare],
        beside=[f"over the whole year this spot: {result.verdict}"],
        tables=[
            Table(
                f"{result.weeks} weeks {result.spot.at}, in past years",
                SPAN_HEADER,
                span_rows(result),
            ),
            Table("Night minima of the coming weeks", WEEK_HEADER, week_rows(result)),
        ],
    )
    return page_of(
        result,
        f"A new plant: {result.plant.name}",
        f"{result.spot.words}, {result.weather.source}",
        [section],
    )
