"""Plants of a home against their limits: the coming nights on one line each."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from climrisk.commands.calendar.result import PlantMonths
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.render.charts.style import BLUES, ORANGE, styled
from climrisk.render.charts.units import axes_of

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

_ROW_PX = 46


def kept_lines(rows: list[PlantMonths]) -> Figure:
    """Draw the night minima of the next two weeks and each plant's limits.

    The thick line runs from the night in ten to the middle night, the diamond is the
    coldest seen; the tall orange mark is the coldest night that the plant tolerates,
    the small triangle the night minimum that it prefers.
    """
    import plotly.graph_objects as go

    figure = go.Figure()
    known = [r for r in rows if r.coming.low_c is not None]
    for row in known:
        name = _name(row)
        near = row.coming
        figure.add_scatter(
            x=[near.low_c, near.mid_c],
            y=[name, name],
            mode="lines",
            line={"color": BLUES[3], "width": 6},
            hoverinfo="skip",
        )
        figure.add_scatter(
            x=[near.coldest_c],
            y=[name],
            mode="markers",
            marker={"symbol": "diamond-open", "size": 10, "color": BLUES[2]},
            hovertemplate="coldest seen %{x:.1f} " + DEGREES + "<extra></extra>",
        )
        figure.add_scatter(
            x=[row.tolerated_c],
            y=[name],
            mode="markers",
            marker={
                "symbol": "line-ns",
                "size": 26,
                "line": {"width": 4, "color": ORANGE},
            },
            hovertemplate="tolerates %{x:.1f} " + DEGREES + "<extra></extra>",
        )
        figure.add_scatter(
            x=[row.preferred_c],
            y=[name],
            mode="markers",
            marker={"symbol": "triangle-up-open", "size": 11, "color": ORANGE},
            hovertemplate="prefers %{x:.1f} " + DEGREES + "<extra></extra>",
        )
    axes_of(figure, x=TEMPERATURE)
    styled(
        figure,
        height=110 + _ROW_PX * len(known),
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
            "text": f"night minimum in the next two weeks, {DEGREES}",
            "font": {"size": 13},
        },
        showgrid=True,
    )
    figure.update_layout(margin={"l": 10, "r": 20, "b": 62})
    return figure


def _name(row: PlantMonths) -> str:
    """Return plant and spot in short lines, which a phone has room for."""
    lines = wrap(row.label, 22)[:2]
    return "<br>".join([*lines, row.spot])
