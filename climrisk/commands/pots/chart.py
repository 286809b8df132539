"""Pots side by side: a dot and its range on one line each."""

from __future__ import annotations

from climrisk.commands.pots.result import PotRow, PotsResult
from climrisk.core.quantities import DEGREES_APART, DIFFERENCE, LENGTH, quantity
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, MUTED, PAPER, styled
from climrisk.render.charts.units import axes_of

_ROW_PX = 46


def pots_dots(result: PotsResult) -> Chart:
    """Draw how much warmer each pot keeps its roots on winter nights.

    The dot is the middle and the line holds 8 members in 10; filled where the pot
    differs clearly, open where it does not, a square for the reference.
    """
    figure = Chart()
    rows = [r for r in result.pots if r.warmer_k.mid is not None]
    names = [_label(r) for r in rows]
    for row, name in zip(rows, names, strict=True):
        shade = {"warmer": BLUES[2], "colder": BLUES[3]}.get(row.differs, MUTED)
        figure.add_scatter(
            x=[row.warmer_k.low, row.warmer_k.high],
            y=[name, name],
            mode="lines",
            line={"color": shade, "width": 3},
            hoverinfo="skip",
        )
        clear = row.differs in ("warmer", "colder")
        figure.add_scatter(
            x=[row.warmer_k.mid],
            y=[name],
            mode="markers",
            marker={
                "symbol": "square" if row.differs == "reference" else "circle",
                "size": 13,
                "color": shade if clear else PAPER,
                "line": {"width": 2.5, "color": shade},
            },
            hovertemplate=f"%{{y}}: %{{x:+.2f}} {DEGREES_APART}, "
            f"{row.differs}<extra></extra>",
        )
    figure.add_vline(x=0, line={"color": INK, "width": 1, "dash": "dot"})
    axes_of(figure, x=DIFFERENCE)
    styled(
        figure,
        height=90 + _ROW_PX * len(rows),
        y_title="",
        months=None,
        dates=False,
        top=28,
    )
    figure.update_yaxes(
        autorange="reversed", showgrid=True, zeroline=False, title=None, type="category"
    )
    figure.update_xaxes(
        title={
            "text": f"roots on winter nights, {DEGREES_APART} above the reference pot",
            "font": {"size": 13},
        },
        showgrid=True,
        range=_range(rows),
    )
    figure.update_layout(margin={"l": 10, "r": 20, "b": 62})
    return figure


def _range(rows: list[PotRow]) -> list[float]:
    """Return a range that holds every line and zero, with room at both ends."""
    ends = [0.0, *(v for r in rows for v in (r.warmer_k.low, r.warmer_k.high) if v)]
    room = max(0.08 * (max(ends) - min(ends)), 0.1)
    return [min(ends) - room, max(ends) + room]


def _label(row: PotRow) -> str:
    """Return two short lines, which a phone has room for."""
    return f"{row.pot} {quantity(LENGTH, row.diameter_cm)}<br>{row.medium}"
