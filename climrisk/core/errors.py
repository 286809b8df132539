"""The errors of climrisk.

::

    ClimriskError                exit status 1: a fault of ours
    ├── InputError               2: an argument, a file or a value is wrong
    └── WeatherUnavailableError       3: the weather cannot be downloaded now

Every message is one line of at most 500 characters that says what is wrong, where,
the value given, what is allowed, and the next step or the nearest valid value.
"""

from __future__ import annotations

from typing import Any

from climrisk.core.references import fields_in
from climrisk.core.typed_text import READER, Viewer

_MOST = 500


class ClimriskError(Exception):
    """Base of all errors that climrisk raises on purpose.

    Inputs that its parts refer to (`climrisk.core.references.field`) and quantities
    stay typed: whoever shows it calls them as they are called there. As a string it
    is what a Python user reads.

    Parameters
    ----------
    what : str
        What is wrong, in a few words.
    where : str, optional
        The input, file, line or column it was met in.
    value : object, optional
        The value met; shown as given.
    allowed : str, optional
        What would have been accepted.
    next_step : str, optional
        What the user can do now.
    """

    exit_status = 1
    #: Who reads it, where the one who shows it later does not know.
    reader: Viewer | None = None

    def __init__(
        self,
        what: str,
        *,
        where: str = "",
        value: object = None,
        allowed: str = "",
        next_step: str = "",
    ) -> None:
        self.what = what
        self.where = where
        self.value = value
        self.allowed = allowed
        self.next_step = next_step
        super().__init__(what)

    def __str__(self) -> str:
        return self.line()

    def __reduce__(self) -> tuple[Any, ...]:
        # Arguments with names do not travel to another process by themselves.
        return _again, (type(self), dict(self.__dict__))

    @property
    def field(self) -> str | None:
        """The input that is wrong, by the attribute that declares it; None for none."""
        return next(iter(fields_in(self.where)), None)

    def line(self) -> str:
        """Return the message as one line for its reader, whatever its parts contain."""
        written = (self.reader or READER.get()).text
        text = written(self.what)
        where = written(self.where)
        if where:
            text += f" ({where})"
        value = "" if self.value is None else written(str(self.value))
        if value:
            text += f": {_cut(one_line(value, 10 * _MOST), 120)}"
        text = one_line(text)
        step = one_line(_sentence(written(self.next_step).strip()))
        allowed = written(self.allowed).strip()
        if allowed:
            allowed = one_line(f"Allowed: {allowed}", 10 * _MOST)
            # Of a long list the end may go, but not what to do next.
            most = max(60, _MOST - len(text) - len(step))
            text = f"{_stop(text)} {_cut(allowed, most)}"
        return one_line(f"{_stop(text)} {step}" if step else text)


def _again(kind: type[ClimriskError], parts: dict[str, Any]) -> ClimriskError:
    error = kind.__new__(kind, parts["what"])
    error.__dict__.update(parts)
    return error


class InputError(ClimriskError):
    """An argument, a file or a value that cannot be used as it stands."""

    exit_status = 2


class WeatherUnavailableError(ClimriskError):
    """Weather that exists but cannot be downloaded: an outage, never an absence."""

    exit_status = 3


def one_line(text: object, most: int = _MOST) -> str:
    """Return a text as one line of limited length, control characters escaped."""
    words = " ".join(str(text)[: 4 * most].split())
    shown = (c if c.isprintable() else ascii(c)[1:-1] for c in words)
    return _cut("".join(shown), most)


def _stop(text: str) -> str:
    """Return a text that ends as a sentence does."""
    return text if text.endswith((".", "?", "!", "…")) else f"{text}."


def _sentence(text: str) -> str:
    """Return a step as a sentence; the name of the program stays small."""
    return text if text.startswith("climrisk") else text[:1].upper() + text[1:]


def _cut(text: str, most: int) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
