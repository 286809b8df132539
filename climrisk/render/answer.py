"""Short answers for a terminal: at most 16 lines of 80 columns.

An answer is a headline, parts of falling importance and a closing line. Parts that do
not fit are shortened, then left out: everything is under ``--details``.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from climrisk.advice.cautions import ESTIMATE, short_caution
from climrisk.core import references
from climrisk.core.days import MONTH_NAMES, days_of_month
from climrisk.core.references import by
from climrisk.core.typed_text import DOCUMENT, READER
from climrisk.core.wording import listed, plural
from climrisk.render.display_units import day_in_words
from climrisk.render.document import Caution

WIDTH, HEIGHT = 80, 16

Weight = Literal["strong", "plain", "faint"]
#: How a text is shown to its reader: in °C or °F, with days before months or after.
Show = Callable[[str], str]
#: Only the command line has details of its own.
_IN_DETAILS = by(cli=f" ({references.field('details')})")
_MORE = by(cli=f"More: {references.field('details')} ({{}}).")
#: Parts of a higher rank go before the empty lines do.
_MAIN = 3
#: Widest column before the last of a list.
_COLUMN = 34


@dataclass(frozen=True)
class TextLine:
    """A line of the terminal and its weight, where the terminal has weights."""

    text: str
    weight: Weight = "plain"


@dataclass(frozen=True)
class Words:
    """A paragraph.

    Parameters
    ----------
    text : str
    rank : int
        0 stays in every answer; of the others the highest is left out first.
    tight : bool
        No empty line before it.
    """

    text: str
    rank: int = 0
    tight: bool = False

    def lines(self, show: Show) -> list[TextLine]:
        """Return the paragraph, wrapped."""
        return [TextLine(t) for t in wrapped(show(self.text))]

    def shorter(self) -> Words | None:
        """Return nothing: a paragraph is whole or absent."""
        return None


@dataclass(frozen=True)
class Rows:
    """A list or small table; the last column wraps under itself.

    Parameters
    ----------
    rows : sequence of sequences of str
    header : sequence of str, optional
    rank, tight
        As those of `Words`.
    least : int
        Rows that stay.
    left_out : int
        Rows that are not shown, which a last line says.
    what : str
        What a row is, such as "more spot", for that line.
    """

    rows: Sequence[Sequence[str]]
    header: Sequence[str] = ()
    rank: int = 0
    tight: bool = False
    least: int = 1
    left_out: int = 0
    what: str = "more row"

    def lines(self, show: Show) -> list[TextLine]:
        """Return the rows, aligned."""
        cells = [[show(c) for c in row] for row in self.rows]
        head = [show(c) for c in self.header]
        every = [head, *cells] if head else cells
        count = len(every[0])
        width = [
            min(_COLUMN, max(len(row[i]) for row in every)) for i in range(count - 1)
        ]
        out = []
        for n, row in enumerate(every):
            start = "  "
            for cell, w in zip(row, width, strict=False):
                start += _cut(cell, w).ljust(w) + "  "
            room = max(8, WIDTH - len(start))
            first, *rest = _wrap(row[-1], room) or [""]
            weight: Weight = "faint" if head and n == 0 else "plain"
            out.append(TextLine((start + first).rstrip(), weight))
            out += [TextLine(" " * len(start) + t, weight) for t in rest]
        if self.left_out:
            more = f"  and {plural(self.left_out, self.what)}{_IN_DETAILS}"
            out.append(TextLine(show(more)))
        return out

    def shorter(self) -> Rows | None:
        """Return the rows without the last, or nothing where none may go."""
        if len(self.rows) <= self.least:
            return None
        return replace(self, rows=self.rows[:-1], left_out=self.left_out + 1)


Part = Words | Rows


@dataclass(frozen=True)
class Answer:
    """A short answer.

    Parameters
    ----------
    headline : str
        The verdict or the next action.
    parts : sequence of Words or Rows
        Why, when, what helps and how sure, in this order.
    details : str
        What ``--details`` adds, in a few words, such as "every night"; empty for a
        command without it.
    cautions : sequence of Caution
        In one line here, in full under ``--details``.
    files : sequence of str
        What was written.
    """

    headline: str
    parts: Sequence[Part]
    details: str
    cautions: Sequence[Caution] = field(default=())
    files: Sequence[str] = field(default=())

    def lines(self, show: Show = DOCUMENT.text) -> list[TextLine]:
        """Return the answer as lines that fit the terminal."""
        parts = [p for p in self.parts if not isinstance(p, Rows) or p.rows]
        end = self._end(show)
        main = [p for p in parts if p.rank <= _MAIN]
        tries = [(parts, "all"), (parts, "ends"), (main, "ends"), (main, "first")]
        for some, gaps in tries:
            out = self._laid_out(some, end, show, gaps)
            if len(out) <= HEIGHT:
                return out
        fewer: list[Part] | None = main
        while fewer is not None:
            out = self._laid_out(fewer, end, show, "none")
            if len(out) <= HEIGHT:
                break
            fewer = _fewer(fewer)
        return out

    def text(self, show: Show = DOCUMENT.text) -> str:
        """Return the answer as plain text."""
        return "\n".join(line.text for line in self.lines(show))

    def _laid_out(
        self, parts: Sequence[Part], end: list[TextLine], show: Show, gaps: str
    ) -> list[TextLine]:
        """Return the lines with empty ones between all parts, or fewer."""
        out = [TextLine(t, "strong") for t in wrapped(show(self.headline))]
        for n, part in enumerate(parts):
            if (n == 0 and gaps != "none") or (gaps == "all" and not part.tight):
                out.append(TextLine(""))
            out += part.lines(show)
        return [
            *out,
            *([TextLine("")] if end and gaps in ("all", "ends") else []),
            *end,
        ]

    def _end(self, show: Show) -> list[TextLine]:
        texts: list[str] = []
        written: list[TextLine] = []
        if self.files:
            line = f"Written: {', '.join(self.files)}"
            if len(line) > WIDTH:
                line = f"Written: {', '.join(map(_name, self.files))}"
            written = [TextLine(t, "faint") for t in wrapped(line)]
        texts.append(cautions_line(self.cautions))
        official = any(c.topic == ESTIMATE.topic for c in self.cautions)
        more = [_MORE.format(self.details)] if self.details else []
        more += ["Follow frost warnings."] if official else []
        texts.append(" ".join(more))
        out = written
        for text in texts:
            out += [TextLine(t, "faint") for t in wrapped(show(text))] if text else []
        return out


def _fewer(parts: list[Part]) -> list[Part] | None:
    """Return the parts with less of the least important one, or nothing."""
    order = sorted(range(len(parts)), key=lambda i: (-parts[i].rank, -i))
    for i in order:
        shorter = parts[i].shorter()
        if shorter is not None:
            return [*parts[:i], shorter, *parts[i + 1 :]]
        if parts[i].rank > 0 and not isinstance(parts[i], Rows):
            return [*parts[:i], *parts[i + 1 :]]
    return None


def wrapped(text: str) -> list[str]:
    """Return a text in lines of the terminal's width, never broken inside a word."""
    return _wrap(text, WIDTH) or [""]


def _wrap(text: str, width: int, indent: str = "") -> list[str]:
    """Return lines that keep a number and its degrees together."""
    # A number stays with its degrees, and a day with its month.
    whole = _DAY.sub(_SPACE, text.replace(" °", _NBSP))
    lines = textwrap.wrap(
        whole,
        width,
        subsequent_indent=indent,
        break_long_words=False,
        break_on_hyphens=False,
    )
    return [line.replace(_SPACE, " ") for line in lines]


_SPACE = "\N{NO-BREAK SPACE}"
_NBSP = f"{_SPACE}°"
_DAY = re.compile(rf"(?<=\d) (?=(?:{'|'.join(name[:3] for name in MONTH_NAMES)}))")


def in_full(text: str, show: Show) -> list[str]:
    """Return a long text in lines of the terminal's width, for its reader."""
    out = []
    for line in text.split("\n"):
        is_path = line.startswith(_PATHS)
        shown = line if is_path else show(line)
        if is_path or len(shown) <= WIDTH:
            out.append(shown)
            continue
        indent = " " * (len(shown) - len(shown.lstrip(" -")))
        out += _wrap(shown, WIDTH, indent)
    return out


#: Lines that name a file, whose name is shown as it is.
_PATHS = ("Written: ", "Report: ")


def _cut(text: str, most: int) -> str:
    """Return a text no longer than a column, cut between words."""
    if len(text) <= most:
        return text
    shown = text[: most - 1]
    if " " in shown[most // 2 :]:
        shown = shown.rsplit(" ", 1)[0].rstrip(" ,;(")
    return shown + "…"


def _name(path: str) -> str:
    """Return the name of a file without its folders."""
    return path.replace("\\", "/").rsplit("/", 1)[-1]


def cautions_line(cautions: Sequence[Caution]) -> str:
    """Return the cautions in one line, the gravest first, or nothing."""
    ranked = sorted(short_caution(c.topic, c.text) for c in cautions)
    words = list(dict.fromkeys(short for _, short in ranked if short))
    line = f"Careful: {'; '.join(words)}."
    while len(line) > WIDTH:
        words.pop()
        line = f"Careful: {'; '.join(words)}; and more."
    return line if words else ""


def months_rows(states: Sequence[tuple[int, str]], *, rank: int = 1) -> Rows:
    """Return twelve months and their states, one under the other."""
    names = [f"{MONTH_NAMES[m - 1][:3]:<5}" for m, _ in states]
    words = [f"{_STATES.get(s, s):<5}" for _, s in states]
    return Rows([[" ".join(names).rstrip()], [" ".join(words).rstrip()]], rank=rank)


_STATES = {"unknown": "?"}


def spoken(month_day: str | None) -> str:
    """Return MM-DD as 12 October; None as a dash."""
    return "–" if month_day is None else day_in_words(month_day)


def brief(month_day: str) -> str:
    """Return MM-DD as 12 Oct."""
    return day_in_words(month_day, brief=True)


def day_of(iso: str) -> str:
    """Return YYYY-MM-DD as 12 October."""
    return day_in_words(iso)


def days_between(first: str, last: str) -> str:
    """Return YYYY-MM-DD to YYYY-MM-DD as 3 to 5 March 2026."""
    if first[:7] == last[:7] and first != last:
        numbers = f"{int(first[8:10])} to {int(last[8:10])}"
        return READER.get().text(days_of_month(int(last[5:7]), numbers, last[:4]))
    end = day_in_words(last, year=True)
    return end if first == last else f"{day_of(first)} to {end}"


def listed_days(days: Sequence[str]) -> str:
    """Return dates YYYY-MM-DD as 3 and 5 March, or 28 February and 2 March."""
    months = {int(d[5:7]) for d in days}
    if len(months) == 1:
        numbers = listed([str(int(d[8:10])) for d in days])
        return READER.get().text(days_of_month(months.pop(), numbers))
    return listed([day_of(d) for d in days])


def month_spans(months: Sequence[int]) -> str:
    """Return months as "October to May", or as a list where they do not adjoin."""
    if not months or len(set(months)) == 12:
        return "all year" if months else ""
    ordered = sorted(months)
    # Begin after a gap, so that November to March is one span.
    first = next((m for m in ordered if (m - 2) % 12 + 1 not in months), ordered[0])
    chain = [(first - 1 + k) % 12 + 1 for k in range(12)]
    spans: list[list[int]] = []
    for m in chain:
        if m not in months:
            continue
        if spans and spans[-1][-1] % 12 + 1 == m:
            spans[-1].append(m)
        else:
            spans.append([m])
    names = [MONTH_NAMES[m - 1] for m in range(1, 13)]
    return listed(
        [
            names[s[0] - 1]
            if len(s) == 1
            else f"{names[s[0] - 1]} to {names[s[-1] - 1]}"
            for s in spans
        ]
    )


def some(names: Sequence[str], most: int = 4) -> str:
    """Return the first of many names; names contain commas."""
    more = len(names) - most
    text = "; ".join(names[:most] if more > 0 else names)
    return f"{text}; and {more} more" if more > 0 else text


def sentence_case(text: str) -> str:
    """Return a text with a capital letter at its start and a stop at its end."""
    text = text[:1].upper() + text[1:]
    return text if text.endswith((".", "?", "!")) else f"{text}."
