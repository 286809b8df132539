"""The year as a ribbon: solid is inside, striped is watch, open is outside."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from itertools import groupby

from climrisk.core.calendar import MONTH_DAYS
from climrisk.core.days import MONTH_NAMES
from climrisk.render.display_units import day_in_words

#: Days of a year without a leap day, and the day on which each month begins.
DAYS = 365
STARTS = tuple(sum(MONTH_DAYS[:m]) for m in range(12))
#: Parts of a year that have room for their word: on a phone, on a wide screen.
_PHONE_PART, _WIDE_PART = 0.115, 0.05


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


def ribbon_svg(
    states: Sequence[str],
    first_month: int,
    today: date | None = None,
    *,
    height: int = 22,
    name: str = "",
) -> str:
    """Return a ribbon of twelve months as SVG; positions are in percent of its width.

    Parameters
    ----------
    states : sequence of str
        As `day_states` returns them.
    first_month : int
        Month at the left end.
    today : date, optional
        Marked where given.
    height : int
        In pixels.
    name : str
        Whose year it is, for a screen reader.
    """
    start = STARTS[first_month - 1]
    turned = [*states[start:], *states[:start]]
    parts, spoken, at = [], [], 0
    for state, run in groupby(turned):
        length = len(list(run))
        x, width = 100 * at / DAYS, 100 * length / DAYS
        parts.append(
            f'<rect class="{state}" x="{x:.2f}%" y=".5" width="{width:.2f}%" '
            f'height="{height - 1}"/>'
        )
        share = length / DAYS
        if share >= _WIDE_PART:
            fits = "" if share >= _PHONE_PART else " one"
            parts.append(
                f'<text class="w-{state}{fits}" x="{x + width / 2:.2f}%" '
                f'y="{height / 2 + 4.5:g}">{_WORDS.get(state, state)}</text>'
            )
        first, last = (at + start) % DAYS, (at + length - 1 + start) % DAYS
        spoken.append(f"{_WORDS.get(state, state)} from {_day(first)} to {_day(last)}")
        at += length
    if today is not None:
        x = 100 * share_of_year(today, first_month)
        parts.append(
            f'<line class="s-today" x1="{x:.2f}%" x2="{x:.2f}%" y1="-4" '
            f'y2="{height + 4}"/>'
        )
    label = f"{name}: " if name else ""
    words = "all year " + turned[0] if len(spoken) == 1 else ", ".join(spoken)
    return (
        f'<svg class="ribbon" width="100%" height="{height}" role="img" '
        f'aria-label="{label}{words}">{"".join(parts)}</svg>'
    )


_WORDS = {"unknown": "?"}


def months_svg(first_month: int) -> str:
    """Return the names of twelve months over a ribbon; single letters on a phone."""
    parts = []
    for k in range(12):
        month = (first_month - 1 + k) % 12
        middle = (STARTS[month] - STARTS[first_month - 1]) % DAYS + MONTH_DAYS[
            month
        ] / 2
        word = MONTH_NAMES[month]
        parts.append(
            f'<text x="{100 * middle / DAYS:.2f}%" y="15"><tspan class="long">'
            f'{word[:3]}</tspan><tspan class="short">{word[0]}</tspan></text>'
        )
    return (
        '<svg class="months" width="100%" height="22" aria-hidden="true">'
        f"{''.join(parts)}</svg>"
    )


def today_svg(today: date, first_month: int, words: str = "today") -> str:
    """Return the mark of today under a ribbon; its word stays within the width."""
    share = share_of_year(today, first_month)
    side = 'x="9"' if share < 0.7 else 'x="-9" text-anchor="end"'
    return (
        '<svg class="todayrow" width="100%" height="22" aria-hidden="true">'
        f'<svg x="{100 * share:.2f}%" overflow="visible"><path d="M0 1l5 8h-10z"/>'
        f'<text {side} y="13" class="t-bold">{words}</text></svg></svg>'
    )


def share_of_year(day: date, first_month: int) -> float:
    """Return where a day stands in twelve months, from 0 to 1."""
    at = day_of_year(f"{day.month:02d}-{day.day:02d}") + 0.5
    return ((at - STARTS[first_month - 1]) % DAYS) / DAYS


def _day(day: int) -> str:
    month = max(m for m in range(12) if STARTS[m] <= day)
    return day_in_words(f"{month + 1:02d}-{day - STARTS[month] + 1:02d}")
