"""Plain-text tables: numbers right, words left, no color needed."""

from __future__ import annotations

from collections.abc import Sequence


def table(header: Sequence[str], rows: Sequence[Sequence[object]]) -> str:
    """Return an aligned table; None prints as a question mark, for unknown."""
    cells = [list(header)] + [[_cell(value) for value in row] for row in rows]
    numeric = [
        all(not isinstance(row[i], str) for row in rows) and bool(rows)
        for i in range(len(header))
    ]
    width = [max(len(row[i]) for row in cells) for i in range(len(header))]
    lines = []
    for n, row in enumerate(cells):
        parts = [
            text.rjust(w) if right else text.ljust(w)
            for text, w, right in zip(row, width, numeric, strict=True)
        ]
        lines.append("  ".join(parts).rstrip())
        if n == 0:
            lines.append("  ".join("─" * w for w in width))
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
