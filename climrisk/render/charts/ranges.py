"""Ranges of temperatures as rows on one scale, placed in percent of the width."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from climrisk.core.typed_text import Viewer
from climrisk.core.wording import listed


@dataclass(frozen=True)
class RangeRow:
    """A row of the chart.

    Parameters
    ----------
    name, about : str
        Beside the row, large and small.
    low_c, mid_c, high_c : float
        The bar's ends hold 8 chances in 10; the dot is the expected value.
    limits_c : sequence of float
        Upright marks.
    said : str, optional
        Behind the row; the expected value where it is not given.
    """

    name: str
    about: str
    low_c: float
    mid_c: float
    high_c: float
    limits_c: Sequence[float] = ()
    said: str | None = None


def ranges_html(
    rows: Sequence[RangeRow], viewer: Viewer, *, bar: str, mark: str
) -> str:
    """Return a legend and the rows, as cells of three columns, on one common scale.

    Parameters
    ----------
    rows : sequence of RangeRow
    viewer : Viewer
    bar, mark : str
        What bars and marks mean, for the legend.
    """
    if not rows:
        return ""
    return _Rows(rows, viewer).html(bar, mark)


class _Rows:
    """The rows being drawn."""

    def __init__(self, rows: Sequence[RangeRow], viewer: Viewer) -> None:
        self.rows, self.viewer = rows, viewer
        known = [self._unit(v) for r in rows for v in (r.low_c, r.high_c, *r.limits_c)]
        span = (max(known) - min(known)) or 1.0
        self.low, self.high = min(known) - 0.06 * span, max(known) + 0.06 * span

    def html(self, bar: str, mark: str) -> str:
        ticks = self._ticks()
        grid = "".join(
            f'<line class="s-grid" x1="{x:.1f}%" x2="{x:.1f}%" y1="0" y2="48"/>'
            for x in map(self._x, ticks)
        )
        cells = "".join(self._row(row, grid) for row in self.rows)
        words = "".join(
            f'<text x="{self._x(v):.1f}%" y="15">{number(v)}°</text>' for v in ticks
        )
        return (
            f'{_legend(bar, mark)}<div class="ranges">{cells}<span></span>'
            '<svg class="axis" height="22" aria-hidden="true">'
            f"{words}</svg><span></span></div>"
        )

    def _row(self, row: RangeRow, grid: str) -> str:
        unit = f"°{self.viewer.unit.upper()}"
        low, middle, high = map(self._unit, (row.low_c, row.mid_c, row.high_c))
        limits = sorted({self._unit(v) for v in row.limits_c})
        words = (
            f"{row.name}: {number(round(middle))} {unit} expected, most likely "
            f"{number(round(low))} to {number(round(high))}"
        )
        if limits:
            words += f"; limits {listed([number(v) for v in limits])} {unit}"
        marks = "".join(self._mark(v) for v in limits)
        said = f"{number(round(middle))} {unit}" if row.said is None else row.said
        about = f"<span>{escape(row.about)}</span>" if row.about else ""
        return (
            f'<div class="spot">{escape(row.name)}{about}</div>'
            f'<svg height="48" role="img" aria-label="{escape(words)}">{grid}'
            f'<rect class="r-bar" x="{self._x(low):.1f}%" '
            f'width="{self._x(high) - self._x(low):.1f}%" y="16" height="16" rx="8"/>'
            f'{marks}<circle class="r-dot" cx="{self._x(middle):.1f}%" cy="24" r="6"/>'
            f'</svg><div class="num">{escape(said)}</div>'
        )

    def _mark(self, value: float) -> str:
        x = f"{self._x(value):.1f}"
        return "".join(
            f'<line class="{kind}" x1="{x}%" x2="{x}%" y1="9" y2="39"/>'
            for kind in ("r-under", "r-limit")
        )

    def _unit(self, celsius: float) -> float:
        return celsius if self.viewer.unit == "c" else celsius * 1.8 + 32

    def _x(self, value: float) -> float:
        return 100 * (value - self.low) / (self.high - self.low)

    def _ticks(self) -> list[float]:
        steps = (5, 10, 20) if self.viewer.unit == "c" else (10, 20, 40)
        span = self.high - self.low
        step = next((s for s in steps if span / s <= 5), steps[-1])
        first, last = math.ceil(self.low / step), math.floor(self.high / step)
        return [float(i * step) for i in range(first, last + 1)]


def _legend(bar: str, mark: str) -> str:
    return (
        '<ul class="legend"><li><svg viewBox="0 0 28 14" aria-hidden="true"><rect '
        'class="r-bar" x="0" y="1" width="28" height="12" rx="6"/><circle '
        f'class="r-dot" cx="14" cy="7" r="4"/></svg>{bar}</li><li><svg '
        'viewBox="0 0 28 14" aria-hidden="true"><path class="r-limit" d="M14 0v14"/>'
        f"</svg>{mark}</li></ul>"
    )


def number(value: float) -> str:
    """Return a number with a true minus sign and no needless decimals."""
    return f"{round(value, 1) + 0.0:g}".replace("-", "−")
