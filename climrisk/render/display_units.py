"""What is shown, in its reader's units and order of dates: texts, tables and charts.

Results are metric; their texts hold typed parts (`climrisk.core.typed_text`), which are
written here for `READER`.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import TYPE_CHECKING, Any, SupportsFloat, TypeVar

from climrisk.core import days, quantities
from climrisk.core.frozen import for_reader
from climrisk.core.quantities import Kind, column_kind
from climrisk.core.typed_text import READER, Viewer, reading

if TYPE_CHECKING:
    from climrisk.render.page import Page, Picture, Section, Table

T = TypeVar("T")

_ISO = re.compile(r"^\d{4}-\d\d-\d\d(?:[T ]\d\d:\d\d(?::\d\d)?Z?)?$")
_SHORT = re.compile(r"^\d\d-\d\d$")


def sheet_for(viewer: Viewer, page: Page) -> Page:
    """Return a sheet for its reader."""
    text = viewer.text
    return replace(
        page,
        title=text(page.title),
        subtitle=text(page.subtitle),
        sections=[_section(viewer, s) for s in page.sections],
        cautions=[c.model_copy(update={"text": text(c.text)}) for c in page.cautions],
        footer=[text(line) for line in page.footer],
        summary=page.summary and page.summary.drawn_for(viewer),
    )


def _section(viewer: Viewer, section: Section) -> Section:
    text = viewer.text
    return replace(
        section,
        heading=text(section.heading),
        lead=text(section.lead),
        beside=[text(words) for words in section.beside],
        reasons=[text(r) for r in section.reasons],
        figures=[_picture(viewer, p) for p in section.figures],
        tables=[table_for(viewer, t) for t in section.tables],
    )


def _picture(viewer: Viewer, picture: Picture) -> Picture:
    from climrisk.render.charts.units import for_viewer

    def figure() -> Any:
        with reading(viewer):
            return for_viewer(picture.figure, viewer)

    return replace(picture, source=figure, caption=viewer.text(picture.caption))


def table_for(viewer: Viewer, table: Table) -> Table:
    """Return a table for its reader."""
    rows = [
        [cell_for(viewer, c, h) for c, h in zip(row, table.header, strict=True)]
        for row in table.rows
    ]
    header = [viewer.text(h) for h in table.header]
    return replace(table, caption=viewer.text(table.caption), header=header, rows=rows)


def cell_for(viewer: Viewer, cell: object, head: str) -> object:
    """Return a cell of a column with a heading, which holds the unit of numbers."""
    if isinstance(cell, str):
        return viewer.text(_typed_day(cell))
    kind = column_kind(head)
    number = isinstance(cell, int | float) and not isinstance(cell, bool)
    if kind is None or not number or viewer.units == "metric":
        return cell
    return round(kind.value(cell, viewer.units), 1)  # type: ignore[arg-type]


def _typed_day(cell: str) -> str:
    """Return a cell that is a day, as documents have it, as a typed one."""
    if _SHORT.match(cell):
        return days.day_in_words(cell, brief=True)
    return days.day(cell) if _ISO.match(cell) else cell


def shown(result: T) -> T:
    """Return a result with its texts in the reader's units."""
    return for_reader(result, READER.get())


def _written(text: str) -> str:
    return READER.get().text(text)


def temperature(celsius: SupportsFloat | None, digits: int | None = None) -> str:
    """Return a temperature in the reader's unit."""
    return _written(quantities.temperature(celsius, digits))


def temperatures(low: SupportsFloat, high: SupportsFloat) -> str:
    """Return a range of temperatures in the reader's unit."""
    return _written(quantities.temperatures(low, high))


def difference(kelvin: SupportsFloat | None, digits: int | None = None) -> str:
    """Return a temperature difference in the reader's unit."""
    return _written(quantities.difference(kelvin, digits))


def day(value: str | date | None) -> str:
    """Return a day as the reader has it, such as 2 Nov 2026."""
    return "?" if value is None else _written(days.day(value))


def day_in_words(value: str | date, *, year: bool = False, brief: bool = False) -> str:
    """Return a day with its month in words as the reader has it."""
    return _written(days.day_in_words(value, year=year, brief=brief))


def weekday(iso: str, *, year: bool = True) -> str:
    """Return a day as Fri 2 Nov 2026, as the reader has it."""
    name = f"{date.fromisoformat(iso):%a}"
    return f"{name} {day_in_words(iso, year=year, brief=True)}"


def speed(m_s: SupportsFloat) -> str:
    """Return a speed in the reader's unit, in whole numbers."""
    return _written(quantities.speed(m_s))


def quantity(kind: Kind, value: SupportsFloat | None, digits: int | None = None) -> str:
    """Return a number with its unit, as the reader has it."""
    return _written(quantities.quantity(kind, value, digits))


def unit(kind: Kind) -> str:
    """Return the unit of a kind, as the reader has it."""
    return kind.unit(READER.get().units)


def number(
    kind: Kind,
    value: SupportsFloat | None,
    digits: int | None = None,
    *,
    signed: bool = False,
) -> str:
    """Return a number without its unit, as the reader has it."""
    return _written(quantities.number(kind, value, digits, signed=signed))


def from_languages(header: str) -> Viewer:
    """Return how readers of a language mostly write, from a browser's list of them.

    US units and month first where the United States' English is asked for; year first
    for languages that write so (Unicode CLDR's short dates); else day first and metric.
    """
    first = header.split(",")[0].split(";")[0].strip().lower()
    if first in ("en-us", "es-us"):
        return Viewer("us", "mdy")
    year_first = ("sv", "lt", "hu", "ja", "ko", "zh", "mn", "fa", "eu")
    if first.split("-")[0] in year_first or first in ("en-ca", "fr-ca"):
        return Viewer("metric", "ymd")
    return Viewer()


def choices(viewer: Viewer) -> Sequence[tuple[str, str, Any]]:
    """Return the orders of dates with an example each, and whether it is the chosen."""
    return [
        ("dmy", "2 Nov 2026", viewer.dates == "dmy"),
        ("mdy", "Nov 2, 2026", viewer.dates == "mdy"),
        ("ymd", "2026-11-02", viewer.dates == "ymd"),
    ]
