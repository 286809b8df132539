"""A cold event hour by hour at each spot."""

from __future__ import annotations

from climrisk.commands.event.result import EventResult, HourMet
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import (
    BLUES,
    INK,
    MUTED,
    fill_between,
    mark_limits,
    styled,
)
from climrisk.render.charts.units import axes_of

_COLORS = (BLUES[3], BLUES[2], INK, MUTED, BLUES[1])
_DASHES = ("solid", "dash", "dot", "dashdot", "longdash")
#: Names closer than this at the end of their lines are moved apart. [K]
_APART_K = 0.9
_MOST_TICKS = 12


def event_hours(result: EventResult) -> Chart:
    """Draw each spot's middle line with its band, and the plants' limits."""
    figure = Chart()
    ends: list[tuple[float, str, str]] = []
    for i, spot in enumerate(result.spots):
        rows = [h for h in result.hours if h.spot == spot.name]
        known = [h for h in rows if h.mid_c is not None]
        if not known:
            continue
        color, dash = _COLORS[i % len(_COLORS)], _DASHES[i % len(_DASHES)]
        for part in _stretches(rows) if len(result.spots) == 1 else []:
            fill_between(
                figure,
                [h.at for h in part],
                [h.low_c for h in part],
                [h.high_c for h in part],
            )
        figure.add_scatter(
            x=[h.at for h in rows],
            y=[h.mid_c for h in rows],
            mode="lines",
            line={"color": color, "width": 2.2, "dash": dash},
            connectgaps=False,
            hovertemplate="%{x|%d %b %H:%M}: %{y:.1f} " + DEGREES + "<extra></extra>",
        )
        ends.append((known[-1].mid_c or 0.0, spot.name, color))
    _names(figure, ends)
    met = [plant.tolerated or plant.preferred for plant in result.plants]
    mark_limits(figure, (m.limit_c for m in met if m is not None), left=True)
    axes_of(figure, y=TEMPERATURE)
    styled(figure, height=380, y_title=f"air, {DEGREES}", months=None, top=28)
    days = max(len(result.hours) / max(len(result.spots), 1) / 24, 1)
    step = next((h for h in (6, 12, 24, 48, 168) if 24 * days / h <= _MOST_TICKS), 720)
    figure.update_xaxes(
        dtick=step * 3_600_000,
        ticklabelmode="instant",
        tickformat="%H:%M<br>%d %b" if step < 24 else "%d %b",
        tickfont={"color": INK},
    )
    figure.update_layout(margin={"b": 58, "r": 110})
    return figure


def _stretches(rows: list[HourMet]) -> list[list[HourMet]]:
    """Return the runs of known hours."""
    out: list[list[HourMet]] = [[]]
    for row in rows:
        if row.mid_c is not None:
            out[-1].append(row)
        elif out[-1]:
            out.append([])
    return [part for part in out if part]


def _names(figure: Chart, ends: list[tuple[float, str, str]]) -> None:
    """Write each spot's name where its line ends, kept apart."""
    height = -1e9
    for value, name, color in sorted(ends):
        height = max(value, height + _APART_K)
        figure.add_annotation(
            x=1.0,
            xref="paper",
            y=height,
            text=name if len(name) <= 15 else name[:14] + "…",
            showarrow=False,
            xanchor="left",
            xshift=8,
            font={"size": 12, "color": color},
        )
