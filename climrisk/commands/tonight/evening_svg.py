"""How cold each spot may get tonight, beside the limits of the plants there."""

from __future__ import annotations

import math
from html import escape

from climrisk.commands.tonight.result import PlantTonight, SpotTonight, TonightResult
from climrisk.core.wording import listed, plural
from climrisk.render.display_units import Viewer

#: 8 nights in 10 of a normal distribution lie within so many standard deviations.
_EIGHT_IN_TEN = 1.2816
_LEGEND = (
    '<ul class="legend"><li><svg viewBox="0 0 28 14" aria-hidden="true"><rect '
    'class="r-bar" x="0" y="1" width="28" height="12" rx="6"/><circle class="r-dot" '
    'cx="14" cy="7" r="4"/></svg>expected, 8 chances in 10</li><li><svg '
    'viewBox="0 0 28 14" aria-hidden="true"><path class="r-limit" d="M14 0v14"/></svg>'
    "what a plant tolerates</li></ul>"
)


def evening_svg(result: TonightResult, viewer: Viewer) -> str:
    """Return a row for each spot, the coldest first.

    A bar holds 8 chances in 10 of the lowest temperature, its dot the expected one;
    upright marks are what the plants there tolerate.
    """
    plants = [*result.carry, *result.cover, *result.leave]
    goals = {p.to for p in plants if p.to}
    rows = [
        (spot, [p for p in plants if p.spot == spot.name])
        for spot in sorted(result.spots, key=lambda s: s.plan_for_c)
    ]
    shown = [r for r in rows if r[1] or r[0].name in goals] or rows
    return _Rows(shown, plants, viewer).html()


class _Rows:
    """The rows being drawn, on one scale."""

    def __init__(
        self,
        rows: list[tuple[SpotTonight, list[PlantTonight]]],
        plants: list[PlantTonight],
        viewer: Viewer,
    ) -> None:
        self.rows, self.viewer = rows, viewer
        limits = {s.name: self._limits(s, mine, plants) for s, mine in rows}
        self.limits = limits
        known = [self._unit(v) for s, _ in rows for v in _range(s)]
        known += [v for some in limits.values() for v in some]
        span = (max(known) - min(known)) or 1.0
        self.low, self.high = min(known) - 0.06 * span, max(known) + 0.06 * span

    def html(self) -> str:
        """Return the rows and the axis below them, as cells of three columns."""
        ticks = self._ticks()
        grid = "".join(
            f'<line class="s-grid" x1="{x:.1f}%" x2="{x:.1f}%" y1="0" y2="48"/>'
            for x in map(self._x, ticks)
        )
        cells = "".join(self._row(s, mine, grid) for s, mine in self.rows)
        words = "".join(
            f'<text x="{self._x(v):.1f}%" y="15">{_number(v)}°</text>' for v in ticks
        )
        return (
            f'{_LEGEND}<div class="ranges">{cells}<span></span><svg class="axis" '
            f'height="22" aria-hidden="true">{words}</svg><span></span></div>'
        )

    def _row(self, spot: SpotTonight, mine: list[PlantTonight], grid: str) -> str:
        unit = f"°{self.viewer.unit.upper()}"
        count = sum(p.count for p in mine)
        about = plural(count, "plant") if count else "goes in here"
        low, high = (self._unit(v) for v in _range(spot))
        middle = self._unit(spot.expected_c)
        limits = self.limits[spot.name]
        words = f"{spot.name}: {_number(round(middle))} {unit} expected, most likely "
        words += f"{_number(round(low))} to {_number(round(high))}"
        if limits:
            each = listed([_number(v) for v in limits])
            words += f"; plants there tolerate {each} {unit}"
        marks = "".join(self._mark(v) for v in limits)
        name = spot.name[:1].upper() + spot.name[1:]
        return (
            f'<div class="spot">{escape(name)}<span>{about}</span></div>'
            f'<svg height="48" role="img" aria-label="{escape(words)}">{grid}'
            f'<rect class="r-bar" x="{self._x(low):.1f}%" '
            f'width="{self._x(high) - self._x(low):.1f}%" y="16" height="16" rx="8"/>'
            f'{marks}<circle class="r-dot" cx="{self._x(middle):.1f}%" cy="24" r="6"/>'
            f'</svg><div class="num">{_number(round(middle))} {unit}</div>'
        )

    def _mark(self, value: float) -> str:
        x = f"{self._x(value):.1f}"
        return "".join(
            f'<line class="{kind}" x1="{x}%" x2="{x}%" y1="9" y2="39"/>'
            for kind in ("r-under", "r-limit")
        )

    def _limits(
        self,
        spot: SpotTonight,
        mine: list[PlantTonight],
        plants: list[PlantTonight],
    ) -> list[float]:
        """Return the limits of the plants there, or of those that are carried there."""
        rows = mine or [p for p in plants if p.to == spot.name]
        return sorted({self._unit(p.tolerated_c) for p in rows})

    def _unit(self, celsius: float) -> float:
        return celsius if self.viewer.unit == "c" else celsius * 1.8 + 32

    def _x(self, value: float) -> float:
        return 100 * (value - self.low) / (self.high - self.low)

    def _ticks(self) -> list[float]:
        steps = (2, 5, 10, 20) if self.viewer.unit == "c" else (5, 10, 20, 40)
        span = self.high - self.low
        step = next((s for s in steps if span / s <= 5), steps[-1])
        first, last = math.ceil(self.low / step), math.floor(self.high / step)
        return [float(i * step) for i in range(first, last + 1)]


def _range(spot: SpotTonight) -> tuple[float, float]:
    sd = math.hypot(spot.forecast_sd_k, spot.spot_sd_k)
    return spot.expected_c - _EIGHT_IN_TEN * sd, spot.expected_c + _EIGHT_IN_TEN * sd


def _number(value: float) -> str:
    return f"{round(value, 1) + 0.0:g}".replace("-", "−")
