"""Plain-text tables of at most 80 columns: numbers right, words left, no color."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from climrisk.core.typed_text import READER
from climrisk.render.display_units import cell_for

WIDTH = 80
_GAP = 2
#: Narrowest column whose words are wrapped.
_NARROW = 9
#: Cells with digits are wrapped only beyond this length.
_WHOLE = 24


def table(header: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return an aligned table; None prints as a question mark, for unknown.

    A wide table has its texts wrapped between words; one that is still too wide
    becomes several tables that repeat the first column.
    """
    shown = READER.get()
    head = [shown.text(h) for h in header]
    values = [
        [cell_for(shown, c, h) for c, h in zip(r, header, strict=True)] for r in rows
    ]
    numeric = [
        all(not isinstance(row[i], str) for row in values) and bool(values)
        for i in range(len(head))
    ]
    cells = [[_cell(value) for value in row] for row in values]
    return "\n\n".join(
        _one(
            [head[i] for i in part],
            [[row[i] for i in part] for row in cells],
            [numeric[i] for i in part],
        )
        for part in _parts(head, cells)
    )


def _parts(head: Sequence[str], cells: Sequence[Sequence[str]]) -> list[list[int]]:
    """Return which columns go together, the first in all."""
    least = [_least(head[i], [row[i] for row in cells]) for i in range(len(head))]
    parts: list[list[int]] = []
    room = 0
    for i in range(1, len(head)):
        if not parts or room < least[i] + _GAP:
            parts.append([0])
            room = WIDTH - least[0]
        parts[-1].append(i)
        room -= least[i] + _GAP
    # Twelve months in two equal halves read better than nine and three.
    if len(parts) == 2:
        half = len(head) // 2 + 1
        even = [[0, *range(1, half)], [0, *range(half, len(head))]]
        if all(sum(least[i] + _GAP for i in part) - _GAP <= WIDTH for part in even):
            return even
    return parts or [[0]]


def _least(head: str, cells: Sequence[str]) -> int:
    """Return how narrow a column can be: its longest word, or a little more.

    A number with its range, or a date, stays on one line.
    """
    longest = max(len(word) for word in head.split() or [""])
    for text in cells:
        whole = len(text) <= _WHOLE and any(c.isdigit() for c in text)
        longest = max(
            longest, len(text) if whole else max(map(len, text.split() or [""]))
        )
    return max(longest, min(_NARROW, max(map(len, [head, *cells]))))


def _one(
    head: Sequence[str], cells: Sequence[Sequence[str]], numeric: Sequence[bool]
) -> str:
    every = [head, *cells]
    columns = range(len(head))
    width = [max(len(row[i]) for row in every) for i in columns]
    least = [_least(head[i], [row[i] for row in cells]) for i in columns]
    while sum(width) + _GAP * (len(width) - 1) > WIDTH:
        spare = [(w - m, i) for i, (w, m) in enumerate(zip(width, least, strict=True))]
        # What a row is about is wrapped last.
        most, i = max(spare[1:], default=(0, 0))
        if most <= 0:
            most, i = spare[0]
        if most <= 0:
            break
        width[i] -= 1
    lines = []
    for n, row in enumerate(every):
        wrapped = [
            textwrap.wrap(
                text, max(1, w), break_long_words=False, break_on_hyphens=False
            )
            for text, w in zip(row, width, strict=True)
        ]
        for k in range(max(1, *map(len, wrapped))):
            parts = [
                (text[k] if k < len(text) else "").rjust(w)
                if right
                else (text[k] if k < len(text) else "").ljust(w)
                for text, w, right in zip(wrapped, width, numeric, strict=True)
            ]
            lines.append((" " * _GAP).join(parts).rstrip())
        if n == 0:
            lines.append((" " * _GAP).join("─" * w for w in width))
    return "\n".join(lines)


def _cell(value: object) -> str:
    if value is None:
        return "?"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int):
        return f"{value:,}"
    if isinstance(value, float):
        return f"{value:,.1f}"
    return str(value)
