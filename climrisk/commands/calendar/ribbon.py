"""The year of a plant as a ribbon: twelve months from this one, a word for each stay.

Places are shares of the width in percent, so that one drawing fits every width and no
letter is scaled. Solid is in, striped is watch, open is out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from itertools import groupby
from typing import Literal

from climrisk.commands.calendar.result import PlantMonths
from climrisk.render.charts.ribbon import Stay, month_names_svg, ribbon_svg, today_svg
from climrisk.render.display_units import day_in_words

StayState = Literal["in", "watch", "out", "away", "unknown"]

#: Share of a narrow ribbon (300 px) that a word takes with some air around it. [%]
_ROOM_PCT = {"in": 7.0, "watch": 16.0, "out": 10.5, "away": 14.5, "unknown": 7.0}
#: A word keeps so far from the line of today. [%]
_BESIDE_TODAY_PCT = 1.0
_SPOKEN = {
    "in": "in",
    "watch": "watch",
    "out": "out",
    "away": "away from the heat",
    "unknown": "not known",
}


@dataclass(frozen=True)
class Stretch:
    """Days of one kind side by side.

    Parameters
    ----------
    stay : str
    first, end : date
        `end` is the day after the last.
    left_pct, width_pct : float
        Of the ribbon's width.
    word_pct : float or None
        Middle of its word; None where the word does not fit.
    """

    stay: StayState
    first: date
    end: date
    left_pct: float
    width_pct: float
    word_pct: float | None


@dataclass(frozen=True)
class RibbonSpan:
    """The twelve months that ribbons show, from the first day of this one.

    Parameters
    ----------
    today : date
    """

    today: date

    @property
    def first(self) -> date:
        """First day shown."""
        return self.today.replace(day=1)

    @property
    def end(self) -> date:
        """The day after the last one shown."""
        return self.first.replace(year=self.first.year + 1)

    def place_pct(self, day: date) -> float:
        """Return where a day begins, as a share of the width."""
        return 100.0 * (day - self.first).days / (self.end - self.first).days

    @property
    def months(self) -> list[tuple[int, float]]:
        """Number and middle of each month."""
        starts = [self.first]
        while len(starts) < 13:
            starts.append((starts[-1] + timedelta(days=32)).replace(day=1))
        edges = [self.place_pct(day) for day in starts]
        return [
            (day.month, (a + b) / 2)
            for day, a, b in zip(starts, edges, edges[1:], strict=False)
        ]


def year_ribbon(row: PlantMonths, span: RibbonSpan) -> list[Stretch]:
    """Return the twelve months of a plant as stretches of days.

    Between the dates to move the plant is in; else the state of the month holds.

    Parameters
    ----------
    row : PlantMonths
    span : RibbonSpan
    """
    into, out = (None, None) if row.indoors else moving_days(row)
    months = tuple(row.states[str(m)] for m in range(1, 13))
    if row.indoors:
        months = ("in",) * 12
    return list(_stretches(span, months, into, out, tuple(row.retreat_months)))


#: Of hundreds of plants at one spot many have the same year.
@lru_cache(maxsize=512)
def _stretches(
    span: RibbonSpan,
    months: tuple[StayState, ...],
    into: str | None,
    out_from: str | None,
    away: tuple[int, ...],
) -> tuple[Stretch, ...]:
    count = (span.end - span.first).days
    days = [span.first + timedelta(days=i) for i in range(count)]
    stays = [(day, _stay(day, months, into, out_from, away)) for day in days]
    out = []
    for stay, group in groupby(stays, key=lambda pair: pair[1]):
        together = [day for day, _ in group]
        first, end = together[0], together[-1] + timedelta(days=1)
        left, right = span.place_pct(first), span.place_pct(end)
        word = _word_pct(stay, left, right, span.place_pct(span.today))
        out.append(Stretch(stay, first, end, left, right - left, word))
    return tuple(out)


def _stay(
    day: date,
    months: tuple[StayState, ...],
    into: str | None,
    out: str | None,
    away: tuple[int, ...],
) -> StayState:
    if _between(day, into, out):
        return "in"
    if day.month in away:
        return "away"
    state = months[day.month - 1]
    if state == "in" and into is not None and out is not None:
        # Outside the dates, in a month that one of them divides: as the month beside.
        step = 1 if _after(day, out) else -1
        beside = months[(day.month - 1 + step) % 12]
        return "watch" if beside == "in" else beside
    return state


def moving_days(row: PlantMonths) -> tuple[str | None, str | None]:
    """Return the days on which a plant goes in and out, MM-DD: those of its trips."""
    into, out = row.move_in.month_day, row.move_out.month_day
    if into is None or out is None:
        return None, None
    return row.trip_in or into, row.trip_out or out


def _between(day: date, first: str | None, end: str | None) -> bool:
    """Whether a day lies between two days of the year, the last one not included."""
    if first is None or end is None:
        return False
    at = f"{day:%m-%d}"
    return first <= at < end if first < end else at >= first or at < end


def _after(day: date, month_day: str) -> bool:
    """Whether a day lies behind a day of the same month."""
    return f"{day:%m}" == month_day[:2] and f"{day:%m-%d}" >= month_day


def _word_pct(stay: StayState, left: float, right: float, today: float) -> float | None:
    """Return where the word stands: in the larger part beside the line of today."""
    parts = [(left, right)]
    if left < today < right:
        parts = [
            (left, today - _BESIDE_TODAY_PCT),
            (today + _BESIDE_TODAY_PCT, right),
        ]
    a, b = max(parts, key=lambda part: part[1] - part[0])
    return (a + b) / 2 if b - a >= _ROOM_PCT[stay] else None


def ribbon_words(stretches: Sequence[Stretch], today: date) -> str:
    """Return a ribbon in words from today on, for those who do not see it."""
    now, *later = [s for s in stretches if s.end > today]
    if not later:
        return f"{_SPOKEN[now.stay].capitalize()} all year"
    parts = [f"{_SPOKEN[s.stay]} from {day_in_words(s.first)}" for s in later]
    return f"{_SPOKEN[now.stay].capitalize()} now, then {', '.join(parts)}"


def plant_ribbon_svg(stretches: Sequence[Stretch], span: RibbonSpan) -> str:
    """Return a plant's ribbon as an SVG element."""
    stays = [Stay(s.stay, s.left_pct, s.width_pct, s.word_pct) for s in stretches]
    spoken = ribbon_words(stretches, span.today)
    return ribbon_svg(stays, spoken, span.place_pct(span.today))


def axis_svg(span: RibbonSpan, today_words: str) -> str:
    """Return the months above ribbons, and today on its date.

    Parameters
    ----------
    span : RibbonSpan
    today_words : str
        Such as ``today, 24 Oct``.
    """
    today = today_svg(span.place_pct(span.today), today_words, above=True)
    return month_names_svg(span.months) + today
