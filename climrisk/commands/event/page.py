"""A cold event, as a page and as files."""

from __future__ import annotations

from functools import partial

from climrisk.commands.event.chart import event_hours
from climrisk.commands.event.result import EventResult
from climrisk.commands.event.text import (
    PLANT_HEADER,
    SPOT_HEADER,
    outlook_lines,
    plant_rows,
    report_lines,
    spot_rows,
    watch_lines,
)
from climrisk.core.days import day_in_words
from climrisk.render.display_units import day
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table
from climrisk.render.text import weather_line

WORDS = (
    "A line for each spot; shaded, where there is one spot: the range it most likely "
    "was in; dotted: the coldest night each plant tolerates, else the one it prefers."
)


def event_sheet(result: EventResult) -> Page:
    """Return a cold event as a page: what was met, when to look, what not to do."""
    tables = [Table("Each spot", SPOT_HEADER, spot_rows(result))]
    if result.plants:
        tables.append(
            Table("Each plant, wet ones first", PLANT_HEADER, plant_rows(result))
        )
    met = Section(
        "How cold it got",
        result.sentence,
        reasons=[*outlook_lines(result), *(p.sentence for p in result.plants)],
        tables=tables,
        figures=[Picture("event1", event_hours(result), WORDS)] if result.hours else [],
    )
    boxes = [("[ ]", day_in_words(w.date), f"{w.what} ({w.why})") for w in result.watch]
    look = Table("Days to look", ("", "day", "for what, and why then"), boxes)
    then = [
        Section("When to look", tables=[look]),
        Section("What not to do", reasons=[r.text for r in result.do_not]),
        Section("What helps", reasons=[r.text for r in result.do]),
    ]
    lines = [line.strip() for line in report_lines(result)]
    signs = watch_lines(result)[len(result.watch) :]
    rows = [(line,) for line in (*lines, *signs)]
    rows += [(f"{key}: {title}",) for key, title in result.sources.items()]
    rests = Section("Sources", tables=[Table("Reports", ("",), rows)])
    footer = [] if result.weather is None else [weather_line(result.weather)]
    return Page(
        "After the cold",
        f"{result.home}; {day(result.told.first)} to {day(result.told.last)}",
        [met, *then, *([rests] if rows else [])],
        result.cautions,
        [*footer, f"climrisk {result.version}"],
    )


def exports(result: EventResult) -> Exports:
    """Return page, chart and table of an event; told in words it has only a page."""
    return Exports(
        sheet=partial(event_sheet, result),
        figure=partial(event_hours, result),
        title=f"{day_in_words(result.told.first)} to {day_in_words(result.told.last)}",
        words=WORDS,
        header=["spot", "at", "low_c", "mid_c", "high_c"],
        rows=lambda: [(h.spot, h.at, h.low_c, h.mid_c, h.high_c) for h in result.hours],
        weather=result.weather,
    )
