"""A winter's minima by model and by logger."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.review.result import ReviewResult
from climrisk.core.quantities import DEGREES, TEMPERATURE, temperature
from climrisk.render.charts.style import (
    BLUES,
    INK,
    NIGHT_SYMBOLS,
    ORANGE,
    PAPER,
    styled,
)
from climrisk.render.charts.units import axes_of

if TYPE_CHECKING:
    from plotly.graph_objects import Figure


def review_nights(result: ReviewResult) -> Figure:
    """Draw the model's band and middle, the logger's nights, and the plants' limits."""
    import plotly.graph_objects as go

    figure = go.Figure()
    model = [n for n in result.nights if n.model_c is not None]
    evenings = [n.evening for n in model]
    figure.add_scatter(
        x=[*evenings, *reversed(evenings)],
        y=[
            *(n.model_low_c for n in model),
            *(n.model_high_c for n in reversed(model)),
        ],
        fill="toself",
        fillcolor="rgba(90, 140, 190, 0.28)",
        line={"width": 0},
        mode="lines",
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=evenings,
        y=[n.model_c for n in model],
        mode="lines",
        line={"color": BLUES[3], "width": 1.8},
        hovertemplate="%{x|%d %b}: model %{y:.1f} " + DEGREES + "<extra></extra>",
    )
    for kind, symbol in NIGHT_SYMBOLS.items():
        seen = [n for n in result.nights if n.logger_c is not None and n.kind == kind]
        if seen:
            figure.add_scatter(
                x=[n.evening for n in seen],
                y=[n.logger_c for n in seen],
                mode="markers",
                marker={
                    "symbol": symbol,
                    "size": 8,
                    "color": INK,
                    "line": {"width": 0.8, "color": PAPER},
                },
                hovertemplate="%{x|%d %b}: logger %{y:.1f} "
                + DEGREES
                + "<extra></extra>",
            )
    _limits(figure, result)
    axes_of(figure, y=TEMPERATURE)
    styled(figure, height=400, y_title=f"night minimum, {DEGREES}", months=None, top=28)
    figure.update_xaxes(
        dtick="M1",
        tickformat="%b<br>%Y",
        ticklabelmode="period",
        tickfont={"color": INK},
    )
    figure.update_layout(margin={"b": 58, "r": 56 if result.plants else 20})
    return figure


def _limits(figure: Figure, result: ReviewResult) -> None:
    limits = {plant.tolerated_c for plant in result.plants}
    for limit in sorted(limits):
        figure.add_hline(y=limit, line={"color": ORANGE, "width": 1.5, "dash": "dash"})
        figure.add_annotation(
            x=1.0,
            xref="paper",
            y=limit,
            text=f"{temperature(limit)}",
            showarrow=False,
            xanchor="left",
            xshift=6,
            font={"size": 11, "color": INK},
        )
