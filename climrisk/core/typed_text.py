"""Texts whose quantities, days and inputs stay typed until somebody reads them.

They are made with `climrisk.core.quantities`, `climrisk.core.days` and
`climrisk.core.references`, and written for a `Viewer`, in one place for sentences,
tables, charts and errors.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any, Literal

from climrisk.core.days import Order, format_in_order, in_order
from climrisk.core.quantities import System, in_units
from climrisk.core.references import CLI, PYTHON, Interface, has_references


@dataclass(frozen=True)
class Viewer:
    """How somebody reads.

    Parameters
    ----------
    units : {"metric", "us"}
    dates : {"dmy", "mdy", "ymd", "iso"}
        2 Nov 2026, Nov 2, 2026 or 2026-11-02; ``iso`` as documents have them.
    interface : Interface
        What inputs are called.
    """

    units: System = "metric"
    dates: Order = "dmy"
    interface: Interface = PYTHON

    @property
    def unit(self) -> Literal["c", "f"]:
        """The degrees that are read."""
        return "f" if self.units == "us" else "c"

    def text(self, words: str) -> str:
        """Return a text in the reader's units, order of dates and names of inputs."""
        if not has_references(words):
            return words
        return in_order(in_units(self.interface.written(words), self.units), self.dates)

    def day_format(self, text: str) -> str:
        """Return a text whose formats of days are in the reader's order."""
        return format_in_order(text, self.dates)


#: How documents have their texts.
DOCUMENT = Viewer("metric", "iso", CLI)
#: Who reads what is being shown; each interface says so, Python is read by default.
READER: ContextVar[Viewer] = ContextVar("reader", default=Viewer())  # noqa: B039 - frozen


@contextmanager
def reading(viewer: Viewer) -> Iterator[None]:
    """Write what is shown meanwhile as somebody reads it."""
    token = READER.set(viewer)
    try:
        yield
    finally:
        READER.reset(token)


class Text(str):
    """A text of a result: its characters are the document's, its parts stay typed."""

    __slots__ = ("typed",)
    typed: str

    def __new__(cls, typed: str) -> Text:
        """Return a text from one with typed parts."""
        made = super().__new__(cls, DOCUMENT.text(typed))
        made.typed = typed
        return made

    def __getnewargs__(self) -> tuple[str]:
        """Return what a copy is made from."""
        return (self.typed,)


def typed(value: Any) -> Any:
    """Return texts, alone or in lists and dictionaries, with typed parts."""
    if isinstance(value, Text):
        return value.typed
    if isinstance(value, list | tuple):
        return type(value)(map(typed, value))
    if isinstance(value, dict):
        return {key: typed(item) for key, item in value.items()}
    return value


def texts(value: Any) -> Any:
    """Return strings with typed parts as `Text`, also in lists and dictionaries."""
    if isinstance(value, str):
        return Text(value) if has_references(value) else value
    if isinstance(value, list | tuple):
        return type(value)(map(texts, value))
    if isinstance(value, dict):
        return {key: texts(item) for key, item in value.items()}
    return value
