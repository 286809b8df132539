"""The last changes of the home file made from the page, each to be undone alone."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from threading import Lock

#: Changes that can still be undone.
_MOST_CHANGES = 50


@dataclass(frozen=True)
class Change:
    """A change of the home file: what was done, and the text before and after.

    `undo` is what taking it back is called.
    """

    what: str
    before: str
    after: str
    undo: str = "Undo"


@dataclass
class Sent:
    """A form that is sent once: the name of the change it made."""

    change: str | None = None


class Changes:
    """The last changes made from the page, by a short name."""

    def __init__(self) -> None:
        self._changes: OrderedDict[str, Change] = OrderedDict()
        self._sent: OrderedDict[str, Sent] = OrderedDict()
        self._lock = Lock()

    def add(self, one: Change) -> str:
        """Keep a change; return its name."""
        name = secrets.token_hex(6)
        self._changes[name] = one
        while len(self._changes) > _MOST_CHANGES:
            self._changes.popitem(last=False)
        return name

    @contextmanager
    def once(self, form: str) -> Iterator[Sent]:
        """Give what a form did already, by the name it was given when it was shown.

        Without a name nothing is remembered. Of the same form sent twice, the second
        waits for the first.
        """
        if not form:
            yield Sent()
            return
        with self._lock:
            sent = self._sent.setdefault(form, Sent())
            while len(self._sent) > _MOST_CHANGES:
                self._sent.popitem(last=False)
            yield sent

    def named(self, name: str) -> Change | None:
        """Return a change; None where it is no longer known."""
        return self._changes.get(name)
