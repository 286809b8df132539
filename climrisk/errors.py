"""The errors of climrisk.

::

    ClimriskError                exit status 1: a fault of ours
    ├── InputError               2: an argument, a file or a value is wrong
    └── WeatherUnavailable       3: the weather could not be had just now

Every message is one line that says what is wrong, where, the value met, what is
allowed, and the next step.
"""

from __future__ import annotations


class ClimriskError(Exception):
    """Base of all errors that climrisk raises on purpose.

    Parameters
    ----------
    what : str
        What is wrong, in a few words.
    where : str, optional
        The option, file, line or column it was met in.
    value : object, optional
        The value met; shown as given.
    allowed : str, optional
        What would have been accepted.
    next_step : str, optional
        What the user can do now.
    """

    exit_status = 1

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
        super().__init__(self.line())

    def line(self) -> str:
        """Return the message as one line, whatever its parts contain."""
        text = self.what
        if self.where:
            text += f" ({self.where})"
        if self.value is not None:
            text += f": {_short(self.value)}"
        if self.allowed:
            text += f"; allowed: {self.allowed}"
        if self.next_step:
            text += f". Next: {self.next_step}"
        return " ".join(text.split())


class InputError(ClimriskError):
    """An argument, a file or a value that cannot be used as it stands."""

    exit_status = 2


class WeatherUnavailable(ClimriskError):  # noqa: N818 - a state, not a fault
    """Weather that exists but could not be had: an outage, never an absence."""

    exit_status = 3


def _short(value: object, limit: int = 120) -> str:
    text = str(value)
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= limit else text[: limit - 1] + "…"
