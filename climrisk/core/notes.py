"""Short notes of what takes long, to whoever shows them."""

from __future__ import annotations

from collections.abc import Callable

_listeners: list[Callable[[str], None]] = []


def show_notes(listener: Callable[[str], None]) -> None:
    """Hand all further notes to a listener, in place of the one before."""
    _listeners[:] = [listener]


def note(text: str) -> None:
    """Say something to the listener, if there is one."""
    for listener in _listeners:
        listener(text)
