"""The last changes of the home file made from the page, each to be undone alone."""

from __future__ import annotations

import secrets
from collections import OrderedDict
from dataclasses import dataclass

#: Changes that can still be undone.
_MOST_CHANGES = 50


@dataclass(frozen=True)
class Change:
    """A change of the home file: what was done, and the text before and after."""

    what: str
    before: str
    after: str


class Changes:
    """The last changes made from the page, by a short name."""

    def __init__(self) -> None:
        self._kept: OrderedDict[str, Change] = OrderedDict()

    def add(self, one: Change) -> str:
        """Keep a change; return its name."""
        name = secrets.token_hex(6)
        self._kept[name] = one
        while len(self._kept) > _MOST_CHANGES:
            self._kept.popitem(last=False)
        return name

    def named(self, name: str) -> Change | None:
        """Return a change; None where it is no longer known."""
        return self._kept.get(name)
