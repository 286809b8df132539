"""Days in texts, typed until they are written in their reader's order.

A document has days as ``YYYY-MM-DD`` or in words, such as 2 November 2026. Its readers
have them as 2 Nov 2026, Nov 2, 2026 or 2026-11-02.
"""

from __future__ import annotations

import re
from datetime import date
from typing import Literal

MONTH_NAMES = (
    *("January", "February", "March", "April", "May", "June", "July"),
    *("August", "September", "October", "November", "December"),
)
#: ``iso`` is how documents have days.
Order = Literal["iso", "dmy", "mdy", "ymd"]
ORDERS: tuple[Order, ...] = ("dmy", "mdy", "ymd")

# A day is marked by its form and [YYYY-]MM-DD between BEGIN # and END; of several in
# one month DD is a list.
_BEGIN, _END = "\ue000", "\ue001"
_MARK = re.compile(
    rf"{_BEGIN}#([nlb])(?:(\d{{4}})-)?(\d\d)-([^|{_END}]*)\|?([^{_END}]*){_END}"
)


def day(value: str | date, clock: str = "") -> str:
    """Return a day, which documents have as YYYY-MM-DD.

    Parameters
    ----------
    value : date or str
        With ``THH:MM`` behind it the time is written too.
    clock : str, optional
        Time of day.
    """
    text = value.isoformat() if isinstance(value, date) else value
    clock = clock or text[11:16]
    return f"{_BEGIN}#n{text[:10]}|{clock}{_END}"


def day_in_words(value: str | date, *, year: bool = True, brief: bool = False) -> str:
    """Return a day with its month in words.

    Parameters
    ----------
    value : date or str
        YYYY-MM-DD or MM-DD; a time behind it is left out.
    year : bool
        With its year, where it has one.
    brief : bool
        With the first three letters of the month.
    """
    text = value.isoformat() if isinstance(value, date) else value
    text = text if len(text) == 5 else text[:10] if year else text[5:10]
    return f"{_BEGIN}#{'b' if brief else 'l'}{text}{_END}"


def days_of_month(month: int, days: str, year: str = "") -> str:
    """Return several days of one month, such as 3 and 5 March."""
    return f"{_BEGIN}#l{year}{'-' * bool(year)}{month:02d}-{days}{_END}"


def in_order(text: str, order: Order) -> str:
    """Return a text with its days in an order."""
    if f"{_BEGIN}#" not in text:
        return text
    return _MARK.sub(lambda match: _written(match, order), text)


#: How charts write the days of an axis, by the formats that charts declare.
_FORMATS: dict[Order, tuple[tuple[str, str], ...]] = {
    "mdy": (("%d %b %Y", "%b %d, %Y"), ("%d %b", "%b %d")),
    "ymd": (("%d %b %Y", "%Y-%m-%d"), ("%d %b", "%b %d")),
}


def format_in_order(text: str, order: Order) -> str:
    """Return a text with its formats of days (``%d %b``) in an order."""
    for declared, written in _FORMATS.get(order, ()):
        text = text.replace(declared, written)
    return text


def _written(match: re.Match[str], order: Order) -> str:
    form, year, month, days, clock = match.groups()
    days = days.lstrip("0")
    name = MONTH_NAMES[int(month) - 1]
    if form == "n":
        if order == "iso":
            return f"{year}-{month}-{int(days):02d}" + (f"T{clock}" if clock else "")
        form = "b"
    tail = f" {clock}" if clock else ""
    if order == "ymd" and year and days.isdigit():
        return f"{year}-{month}-{int(days):02d}{tail}"
    name = name[:3] if form == "b" else name
    if order in ("mdy", "ymd"):
        return f"{name} {days}" + (f", {year}" if year else "") + tail
    return f"{days} {name}" + (f" {year}" if year else "") + tail
