"""What is seen of an answer first: a verdict, three facts, a chart and a few sentences.

It is made from the short answer that the terminal prints, so that both say the same.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from climrisk.core.days import MONTH_NAMES
from climrisk.core.references import PAGE
from climrisk.core.typed_text import READER
from climrisk.render.answer import Answer, Rows, Words, cautions_line
from climrisk.render.display_units import cell_for

if TYPE_CHECKING:
    from climrisk.core.typed_text import Viewer

#: Paragraphs with a name of their own, such as "How sure: ...".
_NAMED = re.compile(
    r"^(Flowering|How sure|Better|Not judged|Why|Cold|As it is|Leave|Water): (.+)$",
    re.S,
)
#: What the question line says already.
_POT = re.compile(r"^Pot: .*?\. (?=[A-Z])")
_NO_ZERO = re.compile(r"−0\.0(?!\d)")
#: A verdict at the end of a headline, which the page shows as such.
_CAPITALS = re.compile(r": [^a-z]+$")
_MINUS = re.compile(r"(?<![\w.,-])-(?=\d)")
_MONTHS = re.compile(r"\b(" + "|".join(MONTH_NAMES) + r")\b")


@dataclass(frozen=True)
class Tile:
    """A fact: what it is, its value, and one line of meaning."""

    label: str
    value: str
    note: str = ""


@dataclass(frozen=True)
class Fact:
    """A paragraph with a name, such as "How sure"."""

    title: str
    text: str


@dataclass(frozen=True)
class Listed:
    """A short list or table of an answer; without a header its first column names."""

    rows: Sequence[Sequence[str]]
    header: Sequence[str] = ()


@dataclass(frozen=True)
class SummaryChart:
    """A chart of an answer: what it shows, and how to draw it for a viewer as HTML."""

    title: str
    draw: Callable[[Viewer], str]


@dataclass(frozen=True)
class Summary:
    """What is seen first.

    Parameters
    ----------
    title : str
        The answer in a few words.
    word : str
        A verdict with its shape, if the answer is one.
    lead : str
        One or two sentences under it.
    more : sequence of str
        Further paragraphs.
    tiles : sequence of Tile
        Three, or none.
    facts : sequence of Fact
    lists : sequence of Listed
    understood : sequence of str
        The question as it was read, its subject first.
    beside : sequence of str
        What limits a verdict.
    careful : str
        The cautions in one line.
    draw : callable, optional
        Makes the chart for a viewer, as HTML.
    chart : str
        The chart, once it is drawn.
    chart_title : str
    """

    title: str
    understood: Sequence[str]
    word: str = ""
    lead: str = ""
    more: Sequence[str] = ()
    tiles: Sequence[Tile] = ()
    facts: Sequence[Fact] = ()
    lists: Sequence[Listed] = ()
    beside: Sequence[str] = ()
    careful: str = ""
    draw: Callable[[Viewer], str] | None = field(default=None, compare=False)
    chart: str = ""
    chart_title: str = ""

    def drawn_for(self, viewer: Viewer) -> Summary:
        """Return it with its chart drawn; its texts are the reader's already."""
        return replace(self, chart="" if self.draw is None else self.draw(viewer))


def summary(
    answer: Answer,
    understood: Sequence[str],
    *,
    word: str = "",
    tiles: Sequence[Tile] = (),
    beside: Sequence[str] = (),
    drawing: SummaryChart | None = None,
    title: str = "",
    lead: str = "",
) -> Summary:
    """Return the summary of a short answer.

    Rows that became tiles, and the row of months that the chart shows, are left out. A
    `title` or `lead` of one's own takes the place of the answer's. Texts are written in
    the units and order of dates of who reads (`climrisk.render.display_units.READER`).
    """
    more, facts, lists = [], [], []
    first = True
    for part in answer.parts:
        if isinstance(part, Words):
            words = for_page(part.text)
            named = _NAMED.match(words)
            if named:
                facts.append(Fact(named[1], named[2][:1].upper() + named[2][1:]))
            elif first:
                lead, first = lead or _POT.sub("", words), False
            elif words:
                more.append(words)
        elif part.rows and not (_are_months(part) or _are_tiles(part, tiles)):
            lists.append(_listed(part))
    headline = for_page(answer.headline)
    return Summary(
        title=for_page(title) or (_CAPITALS.sub("", headline) if word else headline),
        understood=[for_page(part) for part in understood if part],
        word=word,
        lead=for_page(lead),
        more=more,
        tiles=[
            Tile(for_page(t.label), short_months(for_page(t.value)), for_page(t.note))
            for t in tiles
        ],
        facts=facts,
        lists=lists,
        beside=[for_page(words) for words in beside],
        careful=for_page(cautions_line(answer.cautions)),
        draw=None if drawing is None else drawing.draw,
        chart_title="" if drawing is None else for_page(drawing.title),
    )


def tiles_of(answer: Answer, more: Sequence[Tile] = ()) -> list[Tile]:
    """Return three facts: the answer's rows of name, value and meaning, then others."""
    rows = [
        Tile(name, value, note)
        for part in answer.parts
        if isinstance(part, Rows) and _are_facts(part)
        for name, value, note in part.rows
    ]
    return [*rows, *more][:3]


def for_page(text: str) -> str:
    """Return a text as its reader has it on a page."""
    reader = READER.get()
    if reader.interface.place != "page":
        reader = replace(reader, interface=PAGE)
    return _NO_ZERO.sub("0.0", _MINUS.sub("−", reader.text(text))).strip()


def short_months(text: str) -> str:
    """Return a text with the first three letters of each month."""
    return _MONTHS.sub(lambda m: m[0][:3], text)


def _are_months(part: Rows) -> bool:
    """Whether the rows are the months with their states, which a ribbon shows."""
    return len(part.rows) == 2 and len(part.rows[0]) == 1 and "Jul" in part.rows[0][0]


def _are_facts(part: Rows) -> bool:
    return (
        bool(part.rows) and all(len(row) == 3 for row in part.rows) and not part.header
    )


def _are_tiles(part: Rows, tiles: Sequence[Tile]) -> bool:
    shown = {(t.label, t.value) for t in tiles}
    return _are_facts(part) and all((row[0], row[1]) in shown for row in part.rows)


def _listed(part: Rows) -> Listed:
    """Return rows as their reader has them; numbers follow the heading's unit."""
    if not part.header:
        return Listed([[for_page(cell) for cell in row] for row in part.rows])
    viewer = READER.get()
    rows = [
        [
            for_page(str(cell_for(viewer, c, h)))
            for c, h in zip(row, part.header, strict=True)
        ]
        for row in part.rows
    ]
    return Listed(rows, [for_page(head) for head in part.header])
