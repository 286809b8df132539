"""What the client says in its log, and its settings, for the length of one call."""

from __future__ import annotations

import logging
import socket
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any


def warnings_of(heard: list[logging.LogRecord]) -> list[str]:
    """Return the client's warnings, each with the error that it hides."""
    out = []
    for record in heard:
        if record.levelno >= logging.WARNING:
            cause = record.exc_info[1] if record.exc_info else None
            hidden = f" ({type(cause).__name__}: {cause})" if cause else ""
            out.append(record.getMessage() + hidden)
    return out


@contextmanager
def heard(timeout_s: float) -> Iterator[list[logging.LogRecord]]:
    """Collect what the client logs and give its sockets a time-out."""
    log = logging.getLogger("meteostat")
    records: list[logging.LogRecord] = []
    ear = logging.Handler(logging.INFO)
    ear.emit = records.append  # type: ignore[method-assign, assignment]
    spread, level, patience = log.propagate, log.level, socket.getdefaulttimeout()
    log.propagate = False
    log.setLevel(logging.INFO)
    log.addHandler(ear)
    socket.setdefaulttimeout(timeout_s)
    try:
        yield records
    finally:
        socket.setdefaulttimeout(patience)
        log.removeHandler(ear)
        log.setLevel(level)
        log.propagate = spread


@contextmanager
def settings(ms: Any, **changes: Any) -> Iterator[None]:
    """Change the client's settings and put them back."""
    before = {name: getattr(ms.config, name) for name in changes}
    try:
        for name, value in changes.items():
            setattr(ms.config, name, value)
        yield
    finally:
        for name, value in before.items():
            setattr(ms.config, name, value)
