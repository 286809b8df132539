"""The year as a ribbon: solid is inside, striped is watch, open is outside."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape
from itertools import groupby

from climrisk.core.calendar import MONTH_DAYS
from climrisk.core.days import MONTH_NAMES
from climrisk.render.display_units import day_in_words

#: Days of a year without a leap day, and the day on which each month begins.
DAYS = 365
STARTS = tuple(sum(MONTH_DAYS[:m]) for m in range(12))
#: Parts of a year that have room for their word: on a phone, on a wide screen.
_PHONE_PART, _WIDE_PART = 0.115, 0.05
_WORDS = {"unknown": "?"}


def day_of_year(month_day: str) -> int:
    """Return MM-DD as a day of the year from 0; 29 February counts as the 28th."""
    month, day = (int(p) for p in month_day.split("-"))
    return STARTS[month - 1] + min(day, MONTH_DAYS[month - 1]) - 1


def day_states(
    months: Mapping[str, str], into: str | None = None, out: str | None = None
) -> list[str]:
    """Return the state of each day of a year, from 1 January.

    Parameters
    ----------
    months : mapping of str to str
        States of the months "1" to "12".
    into, out : str, optional
        Days of the moves, MM-DD: between them every day is "in", and no other is.
    """
    days = [
        months.get(str(m + 1), "unknown")
        for m in range(12)
        for _ in range(MONTH_DAYS[m])
    ]
    if into is None or out is None:
        return days
    first, last = day_of_year(into), day_of_year(out)
    inside = {(first + k) % DAYS for k in range((last - first) % DAYS)}
    return [
        "in" if d in inside else "out" if state == "in" else state
        for d, state in enumerate(days)
    ]


@dataclass(frozen=True)
class Stay:
    """A part of a ribbon; places are in percent of the width.

    Parameters
    ----------
    state : str
        Its pattern and its word.
    left_pct, width_pct : float
    word_pct : float or None
        Middle of its word; None without one.
    long_only : bool
        The word has room on a wide screen only.
    """

    state: str
    left_pct: float
    width_pct: float
    word_pct: float | None
    long_only: bool = False


def ribbon_svg(
    stays: Sequence[Stay], spoken: str, today_pct: float | None, *, height: int = 22
) -> str:
    """Return a ribbon as SVG; the patterns are those of the page.

    Parameters
    ----------
    stays : sequence of Stay
    spoken : str
        The ribbon in words, for a screen reader.
    today_pct : float or None
        Marked where given.
    height : int
        In pixels.
    """
    parts = [
        f'<rect class="{s.state}" x="{s.left_pct:.2f}%" y=".5" '
        f'width="{s.width_pct:.2f}%" height="{height - 1}"/>'
        for s in stays
    ]
    parts += [
        f'<text class="w-{s.state}{" one" * s.long_only}" x="{s.word_pct:.2f}%" '
        f'y="{height / 2 + 4.5:g}">{_WORDS.get(s.state, s.state)}</text>'
        for s in stays
        if s.word_pct is not None
    ]
    if today_pct is not None:
        parts.append(
            f'<line class="s-today" x1="{today_pct:.2f}%" x2="{today_pct:.2f}%" '
            f'y1="-4" y2="{height + 4}"/>'
        )
    return (
        f'<svg class="ribbon" width="100%" height="{height}" role="img" '
        f'aria-label="{escape(spoken)}">{"".join(parts)}</svg>'
    )


def year_ribbon_svg(
    states: Sequence[str], first_month: int, today: date | None, *, height: int
) -> str:
    """Return the ribbon of any year, from the first day of a month.

    Parameters
    ----------
    states : sequence of str
        As `day_states` returns them.
    first_month : int
        Month at the left end.
    today : date or None
    height : int
        In pixels.
    """
    start = STARTS[first_month - 1]
    turned = [*states[start:], *states[:start]]
    stays, spoken, at = [], [], 0
    for state, run in groupby(turned):
        length = len(list(run))
        left, width, share = 100 * at / DAYS, 100 * length / DAYS, length / DAYS
        word = left + width / 2 if share >= _WIDE_PART else None
        stays.append(Stay(state, left, width, word, share < _PHONE_PART))
        first, last = (at + start) % DAYS, (at + length - 1 + start) % DAYS
        spoken.append(f"{_WORDS.get(state, state)} from {_day(first)} to {_day(last)}")
        at += length
    words = f"all year {turned[0]}" if len(spoken) == 1 else ", ".join(spoken)
    now = None if today is None else 100 * share_of_year(today, first_month)
    return ribbon_svg(stays, words, now, height=height)


def months_svg(first_month: int) -> str:
    """Return the names of any year's months over a ribbon."""
    start = STARTS[first_month - 1]
    months = [(first_month - 1 + k) % 12 for k in range(12)]
    return month_names_svg(
        (m + 1, 100 * ((STARTS[m] - start) % DAYS + MONTH_DAYS[m] / 2) / DAYS)
        for m in months
    )


def month_names_svg(middles: Iterable[tuple[int, float]]) -> str:
    """Return names of months over their middles; single letters on a phone."""
    parts = []
    for month, middle in middles:
        word = MONTH_NAMES[month - 1]
        parts.append(
            f'<text x="{middle:.2f}%" y="15"><tspan class="long">{word[:3]}</tspan>'
            f'<tspan class="short">{word[0]}</tspan></text>'
        )
    return (
        '<svg class="months" width="100%" height="22" aria-hidden="true">'
        f"{''.join(parts)}</svg>"
    )


def today_svg(at_pct: float, words: str = "today", *, above: bool = False) -> str:
    """Return the mark of today under, or above, a ribbon; its words stay within."""
    side = 'x="9"' if at_pct < 70 else 'x="-9" text-anchor="end"'
    mark = "M0 15l5-8h-10z" if above else "M0 1l5 8h-10z"
    return (
        '<svg class="todayrow" width="100%" height="22" aria-hidden="true">'
        f'<svg x="{at_pct:.2f}%" overflow="visible"><path d="{mark}"/>'
        f'<text {side} y="13" class="t-bold">{escape(words)}</text></svg></svg>'
    )


def share_of_year(day: date, first_month: int) -> float:
    """Return where a day stands in twelve months, from 0 to 1."""
    at = day_of_year(f"{day.month:02d}-{day.day:02d}") + 0.5
    return ((at - STARTS[first_month - 1]) % DAYS) / DAYS


def _day(day: int) -> str:
    month = max(m for m in range(12) if STARTS[m] <= day)
    return day_in_words(f"{month + 1:02d}-{day - STARTS[month] + 1:02d}")
