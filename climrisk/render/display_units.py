"""A sheet as its reader likes it: °C or °F, days before months or after.

Results are stored once, in °C; only what is shown changes, words and pictures alike.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from contextvars import ContextVar
from dataclasses import dataclass, replace
from datetime import date
from typing import TYPE_CHECKING, Any, Literal

from climrisk.core.calendar import MONTH_NAMES

if TYPE_CHECKING:
    from climrisk.render.page import Page, Picture, Section, Table

_NUMBER = r"(?<![\w.,])[-−+±]?\d+(?:,\d{3})*(?:\.\d+)?"
_BETWEEN = r" to | and | or |–|/"
#: A range behind its middle, in brackets.
_RANGE = r"(?: \([-−+]?[\d.,]+ to [-−+]?[\d.,]+\))?"
_CELSIUS = re.compile(rf"{_NUMBER}(?:(?:{_BETWEEN})[-−]?\d+(?:\.\d+)?)*{_RANGE} ?°C")
#: A difference of temperatures by the words after or before it, or by its sign.
_DIFFERS = (
    r"(?= (?:warmer|colder|cooler|a decade|(?:below|above) (?:the|what|its))\b|/h\b)"
)
_ALSO = rf"(?:(?:{_BETWEEN}| ± )[-−+±]?\d+(?:\.\d+)?)*{_RANGE}"
_DIFFERENCE = re.compile(
    rf"{_NUMBER}{_ALSO} ?°C{_DIFFERS}"
    rf"|(?:(?<=\bby )|(?<=\bby about )|(?<=\bgive or take )){_NUMBER}{_ALSO} ?°C"
    rf"|(?<![\w.,])[+±]\d+(?:\.\d+)?{_ALSO} ?°C"
)
_KELVIN = re.compile(rf"{_NUMBER}{_ALSO} K(?![\w/])")
_BARE = re.compile(r"(?<![\w.])[-−]?\d+(?:\.\d+)?°(?![CF\w])")
#: The unit alone, as in a heading.
_UNIT = re.compile(r"(?<!\d)(?<!\d )°C")
_ONE = re.compile(r"[-−+±]?\d+(?:,\d{3})*(?:\.\d+)?")
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


#: Other metric units, what one of them is in US units, and the US unit's name.
_US = (
    ("km/h", 0.621371, "mph"),
    ("m/s", 2.236936, "mph"),
    ("cm²", 0.1550003, "in²"),
    ("cm", 0.3937008, "in"),
    ("mm", 0.03937008, "in"),
    ("kg", 2.204623, "lb"),
    ("km", 0.621371, "mi"),
    ("m", 3.28084, "ft"),
)
_MEASURES = [
    (re.compile(rf"{_NUMBER}{_ALSO} {unit}(?![\w²/])"), unit, factor, name)
    for unit, factor, name in _US
]


@dataclass(frozen=True)
class Viewer:
    """How somebody reads.

    Parameters
    ----------
    unit : {"c", "f"}
    measures : {"metric", "us"}
        Of speeds, lengths and weights.
    dates : {"dmy", "mdy", "ymd"}
        2 Nov 2026, Nov 2, 2026 or 2026-11-02.
    """

    unit: Literal["c", "f"] = "c"
    dates: Literal["dmy", "mdy", "ymd"] = "dmy"
    measures: Literal["metric", "us"] = "metric"

    def text(self, words: str) -> str:
        """Return a text in the reader's unit and order of dates."""
        words = _fahrenheit(words) if self.unit == "f" else _celsius(words)
        if self.measures == "us":
            words = _in_us(words)
        words = _ISO.sub(lambda m: self._iso(m), words)
        if self.dates != "dmy":
            words = _WORDS.sub(lambda m: self._worded(m), words)
        return words

    def temperature(self, celsius: float, digits: int = 1) -> str:
        """Return a temperature with its unit."""
        value = celsius if self.unit == "c" else celsius * 1.8 + 32
        return f"{round(value, digits) + 0.0:.{digits}f} °{self.unit.upper()}"

    def speed(self, m_s: float) -> str:
        """Return a speed with its unit, in whole numbers."""
        if self.measures == "us":
            return f"{m_s * 2.236936:.0f} mph"
        return f"{m_s * 3.6:.0f} km/h"

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
            summary=page.summary and page.summary.read_by(self),
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
        caption = self.text(picture.caption)
        from climrisk.render.charts.units import in_kelvin, reworded

        as_drawn = self.unit == "c" and self.dates == "dmy"
        if as_drawn and not in_kelvin(picture.figure):
            return replace(picture, caption=caption)
        figure = reworded(picture.figure, self.text, fahrenheit=self.unit == "f")
        return replace(picture, figure=figure, caption=caption)

    def table(self, table: Table) -> Table:
        """Return a table for this reader."""
        rows = [
            [self.cell(c, h) for c, h in zip(row, table.header, strict=True)]
            for row in table.rows
        ]
        header = [self.heading(h) for h in table.header]
        return replace(
            table, caption=self.text(table.caption), header=header, rows=rows
        )

    def heading(self, head: str) -> str:
        """Return the heading of a column."""
        text = self.text(head)
        text = re.sub(r"(^|, | )K\b(?!/)", rf"\1°{self.unit.upper()}", text)
        found = self._measure(head)
        if found is not None:
            unit, _, name = found
            return text.removesuffix(unit) + name
        return text

    def _measure(self, head: str) -> tuple[str, float, str] | None:
        """Return the unit of a column of speeds, lengths or weights, and the US one."""
        if self.measures == "metric":
            return None
        rows = (row for row in _US if re.search(rf"(^|[, ]){row[0]}$", head))
        return next(rows, None)

    def cell(self, cell: object, head: str) -> object:
        """Return a cell of a column with a heading."""
        found = self._measure(head)
        if found is not None and isinstance(cell, int | float):
            return round(cell * found[1], 1)
        if found is not None and isinstance(cell, str):
            return _ONE.sub(lambda m: _scaled(m[0], found[1]), cell)
        return self._cell(cell, _kind(head) if self.unit == "f" else "")

    def _cell(self, cell: object, kind: str) -> object:
        if kind and isinstance(cell, int | float) and not isinstance(cell, bool):
            digits = 1 if kind == "c" else 2
            return round(cell * 1.8 + (32 if kind == "c" else 0), digits)
        if not isinstance(cell, str):
            return cell
        if kind:
            return _ONE.sub(lambda m: _changed(m[0], kind), cell)
        short = _SHORT.match(cell)
        if short:
            return self._day(int(short[2]), int(short[1]))
        return self.text(cell)

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


def _celsius(words: str) -> str:
    """Return a text with differences in degrees, as they are spoken of."""
    return _KELVIN.sub(lambda m: m[0][:-1] + "°C", words)


def _fahrenheit(words: str) -> str:
    words = _DIFFERENCE.sub(
        lambda m: _ONE.sub(lambda n: _changed(n[0], "k"), m[0]).replace("°C", "°F"),
        words,
    )
    words = _CELSIUS.sub(
        lambda m: _ONE.sub(lambda n: _changed(n[0], "c"), m[0]).replace("°C", "°F"),
        words,
    )
    words = _KELVIN.sub(
        lambda m: _ONE.sub(lambda n: _changed(n[0], "k"), m[0])[:-1] + "°F", words
    )
    words = _BARE.sub(lambda m: _changed(m[0][:-1], "c") + "°", words)
    return _UNIT.sub("°F", words)


def _in_us(words: str) -> str:
    """Return a text with speeds, lengths and weights in US units."""
    for pattern, unit, factor, name in _MEASURES:

        def changed(
            match: re.Match[str], unit: str = unit, f: float = factor, n: str = name
        ) -> str:
            numbers = match[0].removesuffix(unit)
            return _ONE.sub(lambda m: _scaled(m[0], f), numbers) + n

        words = pattern.sub(changed, words)
    return words


def _scaled(number: str, factor: float) -> str:
    """Return a number times a factor, below 10 with one decimal."""
    value = float(number.lstrip("+±").replace("−", "-").replace(",", "")) * factor
    sign = number[0] if number[0] in "+±" else ""
    digits = 0 if abs(value) >= 9.95 or abs(value - round(value)) < 0.05 else 1
    return f"{sign}{value:,.{digits}f}"


def _changed(number: str, kind: str) -> str:
    """Return a number in °F, with as many decimals as it had.

    A temperature that is a whole °F to within its rounding is shown as one: 15.5 °C
    stands for 60 °F.
    """
    sign = number[0] if number[0] in "+±" else ""
    plain = number.lstrip("+±").replace("−", "-").replace(",", "")
    digits = len(plain.partition(".")[2])
    digits = digits if digits <= 2 else 1  # more were typed in °F
    value = float(plain) * 1.8 + (32 if kind == "c" else 0)
    off = abs(value - round(value))
    if kind == "c" and digits and 1e-9 < off <= 10.0**-digits + 1e-9:
        digits = 0
    return f"{sign}{round(value, digits) + 0.0:.{digits}f}"


def _kind(head: str) -> str:
    """Return whether a column holds temperatures, differences or neither."""
    if re.search(r"\d ?°C", head):
        return ""
    if re.search(rf"°C{_DIFFERS}", head) or re.match(r"margin\b", head):
        return "k"
    if "°C" in head:
        return "c"
    return "k" if re.search(r"(^|[, ])K\b", head) else ""


def from_languages(header: str) -> Viewer:
    """Return how readers of a language mostly write, from a browser's list of them.

    °F and month first where the United States' English is asked for; year first for
    languages that write so (Unicode CLDR's short dates); else day first and °C.
    """
    first = header.split(",")[0].split(";")[0].strip().lower()
    if first in ("en-us", "es-us"):
        return Viewer("f", "mdy")
    year_first = ("sv", "lt", "hu", "ja", "ko", "zh", "mn", "fa", "eu")
    if first.split("-")[0] in year_first or first in ("en-ca", "fr-ca"):
        return Viewer("c", "ymd")
    return Viewer()


def choices(viewer: Viewer) -> Sequence[tuple[str, str, Any]]:
    """Return the orders of dates with an example each, and whether it is the chosen."""
    return [
        ("dmy", "2 Nov 2026", viewer.dates == "dmy"),
        ("mdy", "Nov 2, 2026", viewer.dates == "mdy"),
        ("ymd", "2026-11-02", viewer.dates == "ymd"),
    ]
