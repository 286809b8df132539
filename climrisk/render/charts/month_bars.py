"""Amounts by month as bars; positions are in percent of the width."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from climrisk.core.days import MONTH_NAMES
from climrisk.render.charts.ribbon import DAYS, STARTS, months_svg

_HEIGHT = 180


@dataclass(frozen=True)
class MonthBars:
    """Amounts of the months "1" to "12", and what they are."""

    words: str
    amounts: Mapping[str, float]


def month_bars_html(series: Sequence[MonthBars], first_month: int) -> str:
    """Return a legend, the bars of twelve months, and the names of the months.

    Later series stand in front of the first, which alone carries its numbers.
    """
    most = max((v for s in series for v in s.amounts.values()), default=0.0) or 1.0
    parts = ['<line class="s-base" x1="0" x2="100%" y1="100%" y2="100%"/>']
    for n, one in enumerate(series):
        for k in range(12):
            month = (first_month - 1 + k) % 12
            value = one.amounts.get(str(month + 1), 0.0)
            end = STARTS[month + 1] if month < 11 else DAYS
            x = 100 * ((STARTS[month] - STARTS[first_month - 1]) % DAYS) / DAYS
            width = 100 * (end - STARTS[month]) / DAYS
            high = 84 * value / most
            parts.append(
                f'<rect class="f-band{min(n, 2)}" x="{x + 0.12 * width:.2f}%" '
                f'y="{100 - high:.2f}%" width="{0.76 * width:.2f}%" '
                f'height="{high:.2f}%"/>'
            )
            if n == 0 and value >= 0.5:
                parts.append(
                    f'<svg x="{x + width / 2:.2f}%" y="{100 - high:.2f}%" '
                    f'overflow="visible"><text class="t-muted" y="-5" '
                    f'text-anchor="middle">{value:,.0f}</text></svg>'
                )
    spoken = "; ".join(f"{s.words}: {_spoken(s.amounts, first_month)}" for s in series)
    keys = "".join(
        '<li><svg viewBox="0 0 28 14" aria-hidden="true"><rect '
        f'class="f-band{min(n, 2)}" width="28" height="14"/></svg>{s.words}</li>'
        for n, s in enumerate(series)
    )
    return (
        f'<ul class="legend">{keys}</ul><div class="bars"><svg width="100%" '
        f'height="{_HEIGHT}" role="img" aria-label="{spoken}">{"".join(parts)}</svg>'
        f"{months_svg(first_month)}</div>"
    )


def _spoken(amounts: Mapping[str, float], first_month: int) -> str:
    months = [(first_month - 1 + k) % 12 + 1 for k in range(12)]
    known = [(m, amounts.get(str(m), 0.0)) for m in months]
    said = [f"{MONTH_NAMES[m - 1]} {v:,.0f}" for m, v in known if v >= 0.5]
    return ", ".join(said) or "none"
