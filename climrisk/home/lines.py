"""On which line of a TOML text each of its keys stands."""

from __future__ import annotations

import re

Loc = tuple[str | int, ...]

_HEADER = re.compile(r"^\s*(\[\[|\[)\s*(.+?)\s*\]\]?\s*(?:#.*)?$")
_KEY_PART = re.compile(r"""\s*(?:"((?:[^"\\]|\\.)*)"|'([^']*)'|([A-Za-z0-9_-]+))\s*""")


def lines_of(text: str) -> dict[Loc, int]:
    """Return the line, from 1, of every table and key of a valid TOML text.

    Keys of inline tables are not told apart from the line they begin on.
    """
    found: dict[Loc, int] = {}
    count: dict[Loc, int] = {}
    table: Loc = ()
    open_until: str | None = None
    depth = 0
    for number, line in enumerate(text.splitlines(), 1):
        if open_until is None and depth == 0:
            header = _HEADER.match(line)
            if header and (path := _path(header[2])[0]):
                table = _table(path, count, array=header[1] == "[[")
                found.setdefault(table, number)
                continue
            path, rest = _path(line)
            if path and rest.startswith("="):
                found.setdefault((*table, *path), number)
        open_until, depth = _state(line, open_until, depth)
    return found


def line_of(text: str, loc: Loc) -> int | None:
    """Return the line of a key, or of the nearest table around it; None for none."""
    lines = lines_of(text)
    while loc:
        if loc in lines:
            return lines[loc]
        loc = loc[:-1]
    return None


def _table(path: tuple[str, ...], count: dict[Loc, int], *, array: bool) -> Loc:
    """Return where a header leads: arrays of tables on the way have their last row."""
    loc: Loc = ()
    for part in path[:-1]:
        loc = (*loc, part)
        if loc in count:
            loc = (*loc, count[loc])
    loc = (*loc, path[-1])
    if array:
        count[loc] = count.get(loc, -1) + 1
        loc = (*loc, count[loc])
    return loc


def _path(text: str) -> tuple[tuple[str, ...], str]:
    """Return a dotted key at the start of a text, and what follows it."""
    parts: list[str] = []
    rest = text
    while match := _KEY_PART.match(rest):
        parts.append(next(g for g in match.groups() if g is not None))
        rest = rest[match.end() :]
        if not rest.startswith("."):
            break
        rest = rest[1:]
    return tuple(parts), rest


def _state(line: str, closing: str | None, depth: int) -> tuple[str | None, int]:
    """Return whether a line ends within a long string, or within how many brackets."""
    i = 0
    while i < len(line):
        rest = line[i:]
        if closing is not None:
            if closing == '"""' and rest.startswith("\\"):
                i += 2
            elif rest.startswith(closing):
                i, closing = i + 3, None
            else:
                i += 1
        elif rest.startswith(('"""', "'''")):
            i, closing = i + 3, rest[:3]
        elif rest[0] in "\"'":
            quoted = re.match(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'', rest)
            i += len(quoted[0]) if quoted else 1
        elif rest[0] == "#":
            break
        else:
            depth += (rest[0] in "[{") - (rest[0] in "]}")
            i += 1
    return closing, max(depth, 0)
