"""What a long reading is doing just now, for whoever wants to be told."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar

_LISTENER: ContextVar[Callable[[str], None] | None] = ContextVar(
    "listener", default=None
)


@contextmanager
def listening(listener: Callable[[str], None]) -> Iterator[None]:
    """Have a function told, in short words, what is being read."""
    token = _LISTENER.set(listener)
    try:
        yield
    finally:
        _LISTENER.reset(token)


def tell(words: str) -> None:
    """Say what is being done; without a listener nothing happens."""
    listener = _LISTENER.get()
    if listener is not None:
        listener(words)
