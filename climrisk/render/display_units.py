"""What is shown, in its reader's units and order of dates: texts, tables and charts.

Results are metric; their texts hold typed quantities (`climrisk.core.quantities`),
which are written here. `READER` says who reads.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any, Literal, SupportsFloat, TypeVar

from climrisk.core import quantities
from climrisk.core.calendar import MONTH_NAMES
from climrisk.core.frozen import for_reader
from climrisk.core.quantities import Kind, System, column_kind, in_units

if TYPE_CHECKING:
    from climrisk.render.page import Page, Picture, Section, Table

T = TypeVar("T")

#: A date that is no part of a file's name.
_ISO = re.compile(
    r"(?<![\w/-])(\d{4})-(\d\d)-(\d\d)(?:T(\d\d:\d\d)(?::\d\d)?Z?)?(?![\w-]|\.\w)"
)
_MONTHS = {name: i + 1 for i, name in enumerate(MONTH_NAMES)}
_MONTHS |= {name[:3]: i + 1 for i, name in enumerate(MONTH_NAMES)}
_WORDS = re.compile(
    r"\b(\d{1,2})(?: to (\d{1,2}))?[ \u00a0]("
    + "|".join(sorted(_MONTHS, key=len)[::-1])
    + r")"
    r"\b(?: (\d{4})\b)?"
)
_SHORT = re.compile(r"^(\d\d)-(\d\d)$")


@dataclass(frozen=True)
class Viewer:
    """How somebody reads.

    Parameters
    ----------
    units : {"metric", "us"}
    dates : {"dmy", "mdy", "ymd"}
        2 Nov 2026, Nov 2, 2026 or 2026-11-02.
    """

    units: System = "metric"
    dates: Literal["dmy", "mdy", "ymd"] = "dmy"

    @property
    def unit(self) -> Literal["c", "f"]:
        """The degrees that are read."""
        return "f" if self.units == "us" else "c"

    def text(self, words: str) -> str:
        """Return a text in the reader's units and order of dates."""
        words = in_units(words, self.units)
        words = _ISO.sub(lambda m: self._iso(m), words)
        if self.dates != "dmy":
            words = _WORDS.sub(lambda m: self._worded(m), words)
        return words

    def sheet(self, page: Page) -> Page:
        """Return a sheet for this reader."""
        return replace(
            page,
            title=self.text(page.title),
            subtitle=self.text(page.subtitle),
            sections=[self._section(s) for s in page.sections],
            cautions=[
                c.model_copy(update={"text": self.text(c.text)}) for c in page.cautions
            ],
            footer=[self.text(line) for line in page.footer],
            summary=page.summary and page.summary.drawn_for(self),
        )

    def _section(self, section: Section) -> Section:
        return replace(
            section,
            heading=self.text(section.heading),
            lead=self.text(section.lead),
            beside=[self.text(words) for words in section.beside],
            reasons=[self.text(r) for r in section.reasons],
            figures=[self._picture(p) for p in section.figures],
            tables=[self.table(t) for t in section.tables],
        )

    def _picture(self, picture: Picture) -> Picture:
        from climrisk.render.charts.units import for_viewer

        def figure() -> Any:
            with reading(self):
                return for_viewer(picture.figure, self)

        return replace(picture, source=figure, caption=self.text(picture.caption))

    def table(self, table: Table) -> Table:
        """Return a table for this reader."""
        rows = [
            [self.cell(c, h) for c, h in zip(row, table.header, strict=True)]
            for row in table.rows
        ]
        header = [self.text(h) for h in table.header]
        return replace(
            table, caption=self.text(table.caption), header=header, rows=rows
        )

    def cell(self, cell: object, head: str) -> object:
        """Return a cell of a column with a heading, which holds the unit of numbers."""
        if isinstance(cell, str):
            short = _SHORT.match(cell)
            if short:
                return self._day(int(short[2]), int(short[1]))
            return self.text(cell)
        kind = column_kind(head)
        number = isinstance(cell, int | float) and not isinstance(cell, bool)
        if kind is None or not number or self.units == "metric":
            return cell
        return round(kind.value(cell, self.units), 1)  # type: ignore[arg-type]

    def _iso(self, match: re.Match[str]) -> str:
        year, month, day, clock = match.groups()
        try:
            date(int(year), int(month), int(day))
        except ValueError:
            return match[0]
        tail = f" {clock}" if clock else ""
        if self.dates == "ymd":
            return f"{year}-{month}-{day}{tail}"
        return self._day(int(day), int(month), int(year)) + tail

    def _day(self, day: int, month: int, year: int | None = None) -> str:
        name = MONTH_NAMES[month - 1][:3]
        if self.dates == "dmy":
            return f"{day} {name}" + (f" {year}" if year else "")
        if self.dates == "mdy" or year is None:
            return f"{name} {day}" + (f", {year}" if year else "")
        return f"{year}-{month:02d}-{day:02d}"

    def _worded(self, match: re.Match[str]) -> str:
        day, until, name, year = match.groups()
        days = f"{day} to {until}" if until else day
        if self.dates == "mdy" or until or year is None:
            space = "\N{NO-BREAK SPACE}" if "\N{NO-BREAK SPACE}" in match[0] else " "
            return f"{name}{space}{days}" + (f", {year}" if year else "")
        return self._day(int(day), _MONTHS[name], int(year))


#: Who reads what is being printed.
READER: ContextVar[Viewer] = ContextVar("reader", default=Viewer())  # noqa: B039 - frozen


@contextmanager
def reading(viewer: Viewer) -> Iterator[None]:
    """Write what is shown meanwhile as somebody reads it."""
    token = READER.set(viewer)
    try:
        yield
    finally:
        READER.reset(token)


def shown(result: T) -> T:
    """Return a result with its texts in the reader's units."""
    return for_reader(result, READER.get().units)


def _written(text: str) -> str:
    return in_units(text, READER.get().units)


def temperature(celsius: SupportsFloat | None, digits: int | None = None) -> str:
    """Return a temperature in the reader's unit."""
    return _written(quantities.temperature(celsius, digits))


def temperatures(low: SupportsFloat, high: SupportsFloat) -> str:
    """Return a range of temperatures in the reader's unit."""
    return _written(quantities.temperatures(low, high))


def difference(kelvin: SupportsFloat | None, digits: int | None = None) -> str:
    """Return a temperature difference in the reader's unit."""
    return _written(quantities.difference(kelvin, digits))


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
