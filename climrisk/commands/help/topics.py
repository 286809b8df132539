"""Help topics: one text for the terminal and the page.

A topic is a small subset of Markdown: a title, paragraphs, lists, tables, and commands
indented by four spaces, which only the terminal shows.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Literal

from climrisk.core.errors import InputError
from climrisk.render.answer import in_full
from climrisk.render.tables import table

_FOLDER = Path(__file__).parent / "topics"
#: In the order in which they are listed.
NAMES = (
    *("names", "weather", "spots", "pots", "numbers", "accuracy"),
    *("limits", "alarm", "maps", "units", "page"),
)


@dataclass(frozen=True)
class TopicPart:
    """A part of a topic.

    Parameters
    ----------
    kind : {"text", "list", "table", "commands"}
    lines : tuple of str
        Paragraphs, items or commands.
    rows : tuple of tuples of str
        Of a table, its header first.
    """

    kind: Literal["text", "list", "table", "commands"]
    lines: tuple[str, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True)
class Topic:
    """A help topic."""

    name: str
    title: str
    blocks: tuple[TopicPart, ...]

    def text(self) -> str:
        """Return the topic for a terminal."""
        parts = [self.title]
        for block in self.blocks:
            if block.kind == "table":
                head, *rows = block.rows
                parts.append(table(head, rows))
            else:
                mark = {"list": "- ", "commands": "    "}.get(block.kind, "")
                parts.append("\n".join(f"{mark}{line}" for line in block.lines))
        return "\n".join(in_full("\n\n".join(parts), str))


@lru_cache(maxsize=len(NAMES))
def topic(name: str) -> Topic:
    """Return a topic.

    Raises
    ------
    InputError
        There is no such topic.
    """
    if name not in NAMES:
        raise InputError("no such help topic", value=name, allowed=", ".join(NAMES))
    text = (_FOLDER / f"{name}.md").read_text("utf-8")
    for word, names in _lists().items():
        text = text.replace("{" + word + "}", " ".join(names))
    title, *parts = text.strip().split("\n\n")
    return Topic(name, title.removeprefix("# "), tuple(_block(p) for p in parts))


def _lists() -> dict[str, list[str]]:
    """Return the names that topics list."""
    from climrisk.pot.media import media
    from climrisk.pot.model import walls
    from climrisk.spot.kinds import KINDS

    return {"spots": list(KINDS), "pots": list(walls()), "media": list(media())}


def _block(text: str) -> TopicPart:
    lines = text.split("\n")
    if text.startswith("- "):
        return TopicPart("list", tuple(line.removeprefix("- ") for line in lines))
    if text.startswith("    "):
        return TopicPart("commands", tuple(line[4:] for line in lines))
    if text.startswith("|"):
        rows = [
            tuple(cell.strip() for cell in line.strip("|").split("|"))
            for line in lines
            if not re.fullmatch(r"[|\s-]+", line)
        ]
        return TopicPart("table", rows=tuple(rows))
    return TopicPart("text", tuple(line.replace("`", "") for line in lines))
