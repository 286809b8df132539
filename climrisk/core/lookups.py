"""What a computation looked up, noted while it runs, for the document of its answer.

Weather records, stations, plant profiles and kinds of spots are noted where they are
used; nothing is kept while nobody listens.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import Literal, get_args

What = Literal["day", "weather", "station", "profile", "spot"]
Notes = dict[What, dict[str, object]]

_LISTENING: ContextVar[tuple[Notes, ...]] = ContextVar("listening", default=())


@contextmanager
def noting() -> Iterator[Notes]:
    """Collect what is looked up here, by kind and name."""
    notes: Notes = {what: {} for what in get_args(What)}
    with _listening((*_LISTENING.get(), notes)):
        yield notes


@contextmanager
def unnoted() -> Iterator[None]:
    """Look things up without noting them: only to see whether they are there."""
    with _listening(()):
        yield


@contextmanager
def _listening(listeners: tuple[Notes, ...]) -> Iterator[None]:
    token = _LISTENING.set(listeners)
    try:
        yield
    finally:
        _LISTENING.reset(token)


def note(what: What, name: str, value: object) -> None:
    """Note something that was looked up."""
    for notes in _LISTENING.get():
        notes[what][name] = value
