"""Pages of what a keeper asks: tonight, after a cold event, the year looked back on."""

from __future__ import annotations

from datetime import date

from climrisk.report.event_text import (
    PLANT_HEADER,
    plant_rows,
    report_lines,
    watch_lines,
)
from climrisk.report.event_text import SPOT_HEADER as MET_HEADER
from climrisk.report.event_text import spot_rows as met_rows
from climrisk.report.page import Page, Section, Table, render
from climrisk.report.text import weather_line
from climrisk.report.tonight_text import SPOT_HEADER, spot_rows, told, way
from climrisk.result.event import EventResult
from climrisk.result.tonight import PlantTonight, TonightResult
from climrisk.seasons import day_words

_PLANT_HEADER = ("", "plant", "way", "because")


def tonight_sheet(result: TonightResult) -> Page:
    """Return tonight as a page: three lists to be read outdoors."""
    day = date.fromisoformat(result.night.evening)
    tables = [
        Table(name, _PLANT_HEADER, [_plant_row(r) for r in rows])
        for name, rows in (
            ("Carry in what is still out", result.carry),
            ("Cover", result.cover),
            ("Leave", result.leave),
        )
        if rows
    ]
    tables.append(Table("Spots, the coldest first", SPOT_HEADER, spot_rows(result)))
    if result.not_judged:
        rows = [(n.label, n.reason) for n in result.not_judged]
        tables.append(Table("Not judged", ("plant", "because"), rows))
    figures = [(f.what, f"{f.value:g} {f.unit}", f.basis) for f in result.figures]
    tables.append(
        Table("What this rests on", ("figure", "", "basis"), figures, folded=True)
    )
    reasons = list(result.first)
    if result.cover or not result.cover_helps:
        reasons.append(result.cover_words)
    word = "wind first" if result.wind_first else result.night.kind
    footer = [told(result)]
    footer += [
        f"Assumed {a.variable}: {a.value} ({a.spread}), {a.why}."
        for a in result.assumed
    ]
    return Page(
        f"Tonight, {day.day} {day:%B %Y}",
        f"{result.home}; {result.forecast.place}",
        [Section("Tonight", result.sentence, word, reasons, (), tables)],
        result.cautions,
        [*footer, f"climrisk {result.version}"],
    )


def tonight_page(result: TonightResult) -> str:
    """Return tonight as a page in one file."""
    return render(tonight_sheet(result))


def _plant_row(row: PlantTonight) -> tuple[object, ...]:
    count = f"{row.count} x " if row.count > 1 else ""
    return (
        "[ ]",
        f"{count}{row.label}",
        way(row),
        row.why,
    )


def event_sheet(result: EventResult) -> Page:
    """Return a cold event as a page: what was met, when to look, what not to do."""
    tables = [Table("What the spots went through", MET_HEADER, met_rows(result))]
    if result.plants:
        tables.append(Table("Plants, wet ones first", PLANT_HEADER, plant_rows(result)))
    met = Section(
        "What was met",
        result.sentence,
        reasons=[p.sentence for p in result.plants],
        tables=tables,
    )
    boxes = [("[ ]", day_words(w.date), f"{w.what} ({w.why})") for w in result.watch]
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
    rests = Section("What this rests on", tables=[Table("Reports", ("",), rows)])
    footer = [] if result.weather is None else [weather_line(result.weather)]
    return Page(
        "After the cold",
        f"{result.home}; {result.told.first} to {result.told.last}",
        [met, *then, *([rests] if rows else [])],
        result.cautions,
        [*footer, f"climrisk {result.version}"],
    )


def event_page(result: EventResult) -> str:
    """Return a cold event as a page in one file."""
    return render(event_sheet(result))
