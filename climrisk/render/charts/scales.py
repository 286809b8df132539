"""Axes of a figure as places on a drawing: linear, dates, and words."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any, Literal

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 - local days, without a zone
_STEPS = (1.0, 2.0, 2.5, 5.0, 10.0)


def day_number(value: object) -> float:
    """Return a date or an ISO text as days since 1970."""
    if isinstance(value, datetime):
        at = value.replace(tzinfo=None)
    elif isinstance(value, date):
        at = datetime(value.year, value.month, value.day)  # noqa: DTZ001
    else:
        at = datetime.fromisoformat(str(value)).replace(tzinfo=None)
    return (at - _EPOCH) / timedelta(days=1)


@dataclass(frozen=True)
class Scale:
    """One axis: from values to pixels.

    Parameters
    ----------
    kind : {"linear", "date", "category"}
    start, end : float
        Values at the two ends, in days where dates.
    low_px, high_px : float
        Their places.
    words : tuple of str
        The categories in their order.
    """

    kind: Literal["linear", "date", "category"]
    start: float
    end: float
    low_px: float
    high_px: float
    words: tuple[str, ...] = ()

    def number(self, value: object) -> float:
        """Return a value as a number on the axis."""
        if self.kind == "category" and str(value) in self.words:
            return float(self.words.index(str(value)))
        if self.kind == "date" and not isinstance(value, int | float):
            return day_number(value)
        return float(value)  # type: ignore[arg-type]

    def px(self, value: object) -> float:
        """Return the place of a value."""
        share = (self.number(value) - self.start) / ((self.end - self.start) or 1.0)
        return self.low_px + share * (self.high_px - self.low_px)

    def px_per_unit(self) -> float:
        """Return how long one unit is (a day, a kelvin, a category)."""
        return abs(self.high_px - self.low_px) / (abs(self.end - self.start) or 1.0)

    def paper(self, share: float) -> float:
        """Return the place of a share of the axis, 0 at its start."""
        return self.low_px + share * (self.high_px - self.low_px)


def scale(axis: dict[str, Any], values: list[Any], low: float, high: float) -> Scale:
    """Return the scale of an axis that holds all values.

    Parameters
    ----------
    axis : dict
        The figure's own axis.
    values : list
        All that is drawn along it; None is passed over.
    low, high : float
        Pixels of its ends.
    """
    known = [v for v in values if v is not None]
    kind = axis.get("type") or _kind(known)
    if kind == "category":
        words = tuple(dict.fromkeys(str(v) for v in known))
        start, end = -0.5, len(words) - 0.5
        if axis.get("autorange") == "reversed":
            start, end = end, start
        return Scale("category", start, end, low, high, words)
    given = axis.get("range")
    if kind == "date":
        ends = [day_number(v) for v in (given or known)] or [0.0, 1.0]
        pad = 0.0 if given else 0.6
        return Scale("date", min(ends) - pad, max(ends) + pad, low, high)
    if given:
        return Scale("linear", float(given[0]), float(given[1]), low, high)
    numbers = [float(v) for v in known] or [0.0, 1.0]
    least, most = min(numbers), max(numbers)
    room = 0.06 * ((most - least) or 1.0)
    floor = 0.0 if least == 0 and axis.get("rangemode") != "normal" else least - room
    start, end = floor, most + room
    if axis.get("autorange") == "reversed":
        start, end = end, start
    return Scale("linear", start, end, low, high)


def _kind(values: list[Any]) -> str:
    if values and all(isinstance(v, str | date) for v in values):
        try:
            day_number(values[0])
        except ValueError:
            return "category"
        return "date"
    return "linear"


def ticks(axis: dict[str, Any], at: Scale, most: int) -> list[tuple[float, str]]:
    """Return ticks as (number on the axis, text), at most about so many."""
    if axis.get("tickvals") is not None:
        texts = axis.get("ticktext") or [f"{v:g}" for v in axis["tickvals"]]
        return [
            (at.number(v), str(t)) for v, t in zip(axis["tickvals"], texts, strict=True)
        ]
    if at.kind == "category":
        step = max(1, math.ceil(len(at.words) / most))
        return [(float(i), w) for i, w in enumerate(at.words) if i % step == 0]
    if at.kind == "date":
        return _month_ticks(axis, at, most)
    suffix = str(axis.get("ticksuffix") or "")
    share = "%" in str(axis.get("tickformat") or "")
    return [
        (v, f"{v:.0%}" if share else f"{v:g}{suffix}".replace("-", "−"))
        for v in nice(at, most)
    ]


def nice(at: Scale, most: int) -> list[float]:
    """Return round numbers within a linear scale, at most about so many."""
    least, greatest = sorted((at.start, at.end))
    raw = (greatest - least) / max(most, 1)
    power = 10.0 ** math.floor(math.log10(raw)) if raw > 0 else 1.0
    step = next(s * power for s in _STEPS if s * power >= raw * 0.999)
    first = math.ceil(least / step - 1e-9)
    last = math.floor(greatest / step + 1e-9)
    return [round(i * step, 10) + 0.0 for i in range(first, last + 1)]


def _month_ticks(axis: dict[str, Any], at: Scale, most: int) -> list[tuple[float, str]]:
    """Return months, each named at its middle, thinned to what has room."""
    begin = _EPOCH + timedelta(days=min(at.start, at.end))
    end = _EPOCH + timedelta(days=max(at.start, at.end))
    months = list(_months(begin, end))
    apart = next((s for s in (1, 2, 3, 6, 12) if len(months) / s <= most), 24)
    long = len(months) > 24 or "%Y" in str(axis.get("tickformat") or "")
    out = []
    for i, month in enumerate(months):
        if (month.month - 1 if apart >= 3 else i) % apart:
            continue
        after = (month + timedelta(days=32)).replace(day=1)
        middle = (day_number(month) + day_number(after)) / 2
        inside = min(max(middle, day_number(begin)), day_number(end))
        if apart >= 12:
            text = f"{month:%Y}"
        else:
            text = f"{month:%b}" + (f"<br>{month:%Y}" if long else "")
        out.append((inside, text))
    return out


def _months(begin: datetime, end: datetime) -> Iterable[date]:
    month = date(begin.year, begin.month, 1)
    while month < end.date():
        after = (month + timedelta(days=32)).replace(day=1)
        # A month that shows by a few days only has no room for its name.
        shown = min(after, end.date()) - max(month, begin.date())
        if shown > timedelta(days=6):
            yield month
        month = after
