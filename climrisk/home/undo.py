"""One earlier change of a home file taken back, while later ones stay."""

from __future__ import annotations

import json
from collections import Counter
from difflib import SequenceMatcher
from typing import Any

from climrisk.core.errors import InputError
from climrisk.core.toml_text import parse_toml


def without_change(current: str, before: str, after: str) -> str:
    """Return a text of which one change is taken back.

    Parameters
    ----------
    current : str
        The text as it is now, after the change and perhaps others.
    before, after : str
        The text right before and right after the change.

    Raises
    ------
    InputError
        What the change wrote was changed again since, so that nothing can be taken
        back without touching the later change.
    """
    if current == after:
        return before
    text = _patched(current, before, after)
    if text is None or _content(text) != _expected(current, before, after):
        raise InputError(
            "this was changed again since, so it cannot be undone",
            where="home file",
            next_step="change the plant or spot itself",
        )
    return text


def _chunks(text: str) -> list[str]:
    """Return a text cut before each table, with the remarks right above it.

    Tables are compared as a whole: single lines, such as headers, are alike in many.
    """
    out = [""]
    remarks: list[str] = []
    for line in text.splitlines(keepends=True):
        if line.lstrip().startswith("#"):
            remarks.append(line)
            continue
        if line.lstrip().startswith("["):
            out.append("".join(remarks) + line)
        else:
            out[-1] += "".join(remarks) + line
        remarks = []
    out[-1] += "".join(remarks)
    return out


def _patched(current: str, before: str, after: str) -> str | None:
    """Return the text with the tables of the change put back; None if they differ."""
    was, then, now = map(_chunks, (before, after, current))
    where = _positions(then, now)
    out, done = [], 0
    for tag, i, i_end, j, j_end in _matcher(then, was).get_opcodes():
        if tag == "equal":
            continue
        start = _start(where, i, i_end, len(now))
        if start is None or start < done:
            return None
        out += now[done:start] + was[j:j_end]
        done = start + i_end - i
    # Empty lines at the end are nobody's change.
    text = "".join(out + now[done:]).rstrip()
    return (
        before if text == before.rstrip() else text + current[len(current.rstrip()) :]
    )


def _matcher(a: list[str], b: list[str]) -> SequenceMatcher[str]:
    """Compare tables, whatever empty lines follow them."""
    first, second = ([chunk.rstrip() for chunk in chunks] for chunks in (a, b))
    return SequenceMatcher(None, first, second, autojunk=False)


def _positions(then: list[str], now: list[str]) -> dict[int, int]:
    """Return which table of the text now is a table of then."""
    blocks = _matcher(then, now).get_matching_blocks()
    return {b.a + k: b.b + k for b in blocks for k in range(b.size)}


def _start(where: dict[int, int], i: int, end: int, count: int) -> int | None:
    """Return where the tables i to end of then are now; None if not side by side."""
    if i < end:
        found = [where.get(k) for k in range(i, end)]
        first = found[0]
        if first is None or found != list(range(first, first + end - i)):
            return None
        return first
    if i - 1 in where:
        return where[i - 1] + 1
    if i in where:
        return where[i]
    return count if i == 0 else None


def _expected(current: str, before: str, after: str) -> Counter[str] | None:
    """Return the entries there should be: all but the change's, and what it took."""
    now, was, then = _content(current), _content(before), _content(after)
    added = then - was
    if added - now:
        return None
    return (now - added) + (was - then)


def _content(text: str) -> Counter[str]:
    """Return the entries of a home file: each row of a table, each other key."""
    out: Counter[str] = Counter()

    def walk(path: str, value: Any) -> None:
        if isinstance(value, dict):
            for name, part in value.items():
                walk(f"{path}/{name}", part)
        elif isinstance(value, list) and value and isinstance(value[0], dict):
            out.update(f"{path}: {_words(row)}" for row in value)
        else:
            out[f"{path}: {_words(value)}"] += 1

    walk("", parse_toml(text))
    return out


def _words(value: Any) -> str:
    return json.dumps(value, sort_keys=True, default=str)
