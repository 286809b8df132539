"""The year strip for the page: positions in percent and text in pixels.

One drawing fits every width, and nothing in it is scaled. Its classes get their colors
from the page's style sheet.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from datetime import date

from climrisk.commands.assess.result import AssessResult
from climrisk.core.days import day_in_words
from climrisk.core.typed_text import Viewer
from climrisk.render.charts.ribbon import (
    DAYS,
    STARTS,
    day_of_year,
    day_states,
    months_svg,
    share_of_year,
    today_svg,
    year_ribbon_svg,
)
from climrisk.render.document import SeasonBand

#: Room above and below what is drawn, as a share of its range.
_ABOVE, _BELOW = 0.07, 0.07
#: A stay of at least this part of the year has its dates between the dotted lines.
_LONG_STAY = 0.42
_MEDIAN = '<path class="s-median" d="M0 7h28"/>'
_BAND = (
    '<rect class="f-band0" width="10" height="14"/><rect class="f-band1" x="9" '
    'width="10" height="14"/><rect class="f-band2" x="18" width="10" height="14"/>'
)
_BAND_WORDS = "8 nights in 10, stronger below a limit"
_COLD = '<path class="s-cold" d="M2 4h9M15 9h9"/>'


def year_svg(
    result: AssessResult, today: date | None, viewer: Viewer, name: str = "y"
) -> str:
    """Return the year of a plant at a spot: nights, limits, dates and ribbon.

    Parameters
    ----------
    result : AssessResult
    today : date or None
        Marked under the ribbon.
    viewer : Viewer
        Its unit and order of dates.
    name : str
        Begins the ids of the drawing, of letters.

    Returns
    -------
    str
        A legend, and a grid of two columns: degrees, and the year.
    """
    return _Strip(result, today, viewer, name).html()


class _Strip:
    """A year strip being drawn."""

    def __init__(
        self, result: AssessResult, today: date | None, viewer: Viewer, name: str
    ) -> None:
        self.result, self.today, self.viewer, self.name = result, today, viewer, name
        self.first_month = int(next(iter(result.months)))
        self.weeks = [w for w in result.year_strip if w.mid_c is not None]
        rows = [result.plant.limits[k] for k in ("preferred", "tolerated")]
        self.limits = [None if r is None else self._unit(r.value) for r in rows]
        known = [
            *(self._unit(v) for w in self.weeks for v in _values(w)),
            *(v for v in self.limits if v is not None),
        ]
        least, most = min(known), max(known)
        span = (most - least) or 1.0
        self.low, self.high = least - _BELOW * span, most + _ABOVE * span

    def html(self) -> str:
        """Return all parts, top to bottom."""
        result = self.result
        states = day_states(
            result.months, result.move_in.month_day, result.move_out.month_day
        )
        ribbon = year_ribbon_svg(states, self.first_month, self.today, height=24)
        under = ""
        if self.today is not None:
            under = today_svg(100 * share_of_year(self.today, self.first_month))
        return (
            f'{self._legend()}<div class="plotgrid">{self._date_words()}{self._axis()}'
            f"{self._plot(states)}{months_svg(self.first_month)}{ribbon}{under}</div>"
        )

    def _legend(self) -> str:
        """Return what the marks mean; on a phone also the limits."""
        unit = f"°{self.viewer.unit.upper()}"
        rows = [(_MEDIAN, "median night", ""), (_BAND, _BAND_WORDS, "")]
        rows.append((_COLD, "coldest in each week", ""))
        kinds = (("prefers", "s-limit"), ("tolerates", "s-limit dashed"))
        for limit, (word, kind) in zip(self.limits, kinds, strict=True):
            if limit is not None:
                mark = f'<path class="{kind}" d="M0 7h28"/>'
                rows.append((mark, f"{word} {_number(limit)} {unit}", "phone"))
        items = "".join(
            f'<li{f" class={c!r}" if c else ""}><svg viewBox="0 0 28 14" '
            f'aria-hidden="true">{mark}</svg>{words}</li>'
            for mark, words, c in rows
        )
        return f'<ul class="legend">{items}</ul>'

    def _plot(self, states: Sequence[str]) -> str:
        parts = [*self._shades(states), *self._grid(), *self._bands()]
        parts += self._limit_lines()
        parts += [self._nights(), *self._limit_words(), *self._date_lines()]
        parts.append('<line class="s-base" x1="0" x2="100%" y1="100%" y2="100%"/>')
        return (
            f'<svg class="strip" width="100%" height="240" role="img" '
            f'aria-label="{self._spoken()}">{"".join(parts)}</svg>'
        )

    def _unit(self, celsius: float) -> float:
        return celsius if self.viewer.unit == "c" else celsius * 1.8 + 32

    def _y(self, value: float) -> float:
        """Return percent from the top of a value in the reader's unit."""
        return 100 * (self.high - value) / (self.high - self.low)

    def _x(self, month_day: str) -> float:
        """Return percent from the left of the beginning of a day, MM-DD."""
        start = STARTS[self.first_month - 1]
        return 100 * ((day_of_year(month_day) - start) % DAYS) / DAYS

    def _ticks(self) -> list[float]:
        steps = (5, 10, 20, 40) if self.viewer.unit == "c" else (10, 20, 40, 80)
        step = next((s for s in steps if (self.high - self.low) / s <= 6), steps[-1])
        first, last = math.ceil(self.low / step), math.floor(self.high / step)
        return [
            float(i * step)
            for i in range(first, last + 1)
            if 4 < self._y(i * step) < 97
        ]

    def _axis(self) -> str:
        words = "".join(
            f'<svg y="{self._y(v):.2f}%" overflow="visible"><text x="20" y="4.5">'
            f"{_number(v)}°</text></svg>"
            for v in self._ticks()
        )
        return f'<svg class="yaxis" height="240" aria-hidden="true">{words}</svg>'

    def _grid(self) -> list[str]:
        return [_across("s-grid", self._y(v)) for v in self._ticks()]

    def _shades(self, states: Sequence[str]) -> list[str]:
        """Shade the days inside, and stripe those to watch."""
        start = STARTS[self.first_month - 1]
        turned = [*states[start:], *states[:start]]
        out, at = [], 0
        for k in range(1, DAYS + 1):
            if k == DAYS or turned[k] != turned[at]:
                if turned[at] in ("in", "watch"):
                    x, width = 100 * at / DAYS, 100 * (k - at) / DAYS
                    out.append(
                        f'<rect class="m-{turned[at]}" x="{x:.2f}%" y="0" '
                        f'width="{width:.2f}%" height="100%"/>'
                    )
                at = k
        return out

    def _bands(self) -> list[str]:
        """Draw 8 nights in 10, stronger below each limit."""
        outline = self._outline()
        clips, paths = [], [f'<path class="f-band0" d="{outline}"/>']
        for n, limit in enumerate(self.limits, start=1):
            if limit is None:
                continue
            clip = f"{self.name}c{n}"
            clips.append(
                f'<clipPath id="{clip}"><rect x="0" y="{self._y(limit):.2f}" '
                'width="100" height="100"/></clipPath>'
            )
            paths.append(
                f'<path class="f-band{n}" d="{outline}" clip-path="url(#{clip})"/>'
            )
        return [_stretched("".join([*clips, *paths]))]

    def _outline(self) -> str:
        above = self._points([w.high_c for w in self.weeks])
        below = self._points([w.low_c for w in self.weeks])
        pairs = [*above, *reversed(below)]
        return "M" + "L".join(f"{x:.2f} {y:.2f}" for x, y in pairs) + "z"

    def _points(self, values: Sequence[float | None]) -> list[tuple[float, float]]:
        """Return weekly values at the middle of their weeks, out to both ends."""
        points = [
            (self._middle(w), self._y(self._unit(v)))
            for w, v in zip(self.weeks, values, strict=True)
            if v is not None
        ]
        if len(points) < 2:
            return points
        return [(0.0, points[0][1]), *points, (100.0, points[-1][1])]

    def _middle(self, week: SeasonBand) -> float:
        return min(self._x(week.starts) + 100 * 3.5 / DAYS, 100.0)

    def _nights(self) -> str:
        """Draw the coldest night of each week, and the median one."""
        wide = 100 * 2.6 / DAYS
        cold = "".join(
            f"M{self._middle(w) - wide:.2f} {self._y(self._unit(w.coldest_c)):.2f}"
            f"H{self._middle(w) + wide:.2f}"
            for w in self.weeks
            if w.coldest_c is not None
        )
        median = " ".join(
            f"{x:.2f},{y:.2f}" for x, y in self._points([w.mid_c for w in self.weeks])
        )
        return _stretched(
            f'<path class="s-cold" d="{cold}"/>'
            f'<polyline class="s-halo" points="{median}"/>'
            f'<polyline class="s-median" points="{median}"/>'
        )

    def _limit_lines(self) -> list[str]:
        out = []
        for limit, kind in zip(self.limits, ("", " dashed"), strict=True):
            if limit is not None:
                at = self._y(limit)
                out += [_across("s-under", at), _across(f"s-limit{kind}", at)]
        return out

    def _limit_words(self) -> list[str]:
        """Name the upper limit above its line, the lower one below."""
        out = []
        rows = zip(self.limits, ("prefers", "tolerates"), (-6, 15), strict=True)
        for limit, word, shift in rows:
            if limit is None:
                continue
            # Where the line lies at an edge, its name goes to the other side.
            at = self._y(limit)
            place = 15 if at < 9 else -6 if at > 91 else shift
            out.append(
                f'<svg y="{at:.2f}%" overflow="visible"><text class="t-limit t-halo" '
                f'x="4" y="{place}">{word}<tspan class="long"> {_number(limit)}°'
                "</tspan></text></svg>"
            )
        return out

    def _dates(self) -> list[tuple[float, str, str, float]]:
        """Return the two dates as (percent, word, day, part of the year between)."""
        result = self.result
        words = ("in by", "out from")
        days = result.move_in.month_day, result.move_out.month_day
        if None in days and result.watch_from and result.watch_until:
            words = ("watch from", "until")
            days = result.watch_from.month_day, result.watch_until.month_day
        first, last = days
        if first is None or last is None:
            return []
        ends = self._x(first), self._x(last)
        stay = abs(ends[1] - ends[0]) / 100
        return [
            (x, word, self._day(day), stay)
            for x, word, day in zip(ends, words, (first, last), strict=True)
        ]

    def _date_lines(self) -> list[str]:
        return [
            f'<line class="s-date" x1="{x:.2f}%" x2="{x:.2f}%" y1="0" y2="100%"/>'
            for x, *_ in self._dates()
        ]

    def _date_words(self) -> str:
        """Write the dates over the strip, in two rows where the stay is short."""
        rows = self._dates()
        if not rows:
            return ""
        together = rows[0][3] >= _LONG_STAY
        parts = []
        for n, (x, word, day, _) in enumerate(rows):
            # Towards the middle, where there is room.
            side = 'x="5"' if x < 50 else 'x="-5" text-anchor="end"'
            parts.append(
                f'<svg x="{x:.2f}%" overflow="visible"><text {side} '
                f'y="{14 if together else 14 + 16 * n}"><tspan class="long">{word} '
                f'</tspan><tspan class="t-bold">{day}</tspan></text></svg>'
            )
        high = 20 if together else 36
        return (
            f'<svg class="dates" width="100%" height="{high}" aria-hidden="true">'
            f"{''.join(parts)}</svg>"
        )

    def _day(self, month_day: str) -> str:
        return self.viewer.text(day_in_words(month_day, brief=True))

    def _spoken(self) -> str:
        """Say what the strip shows, for who does not see it."""
        unit = f"°{self.viewer.unit.upper()}"
        text = "Night minima week by week through the year"
        for limit, word in zip(self.limits, ("prefers", "tolerates"), strict=True):
            if limit is not None:
                text += f"; it {word} {_number(limit)} {unit}"
        medians = [self._unit(w.mid_c) for w in self.weeks if w.mid_c is not None]
        text += (
            f"; median nights from {_number(round(min(medians)))} to "
            f"{_number(round(max(medians)))} {unit}"
        )
        for _, word, day, _ in self._dates():
            text += f"; {word} {day}"
        return text + "."


def _values(week: SeasonBand) -> list[float]:
    every = (week.low_c, week.mid_c, week.high_c, week.coldest_c)
    return [v for v in every if v is not None]


def _number(value: float) -> str:
    """Return a number with a true minus sign and no needless decimals."""
    return f"{round(value, 1) + 0.0:g}".replace("-", "−")


def _across(kind: str, y: float) -> str:
    return f'<line class="{kind}" x1="0" x2="100%" y1="{y:.2f}%" y2="{y:.2f}%"/>'


def _stretched(content: str) -> str:
    """Return lines and areas in percent; their strokes keep their width."""
    return (
        '<svg width="100%" height="100%" viewBox="0 0 100 100" '
        f'preserveAspectRatio="none">{content}</svg>'
    )
