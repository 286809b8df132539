"""A winter's minima by model and by logger."""

from __future__ import annotations

from climrisk.commands.review.result import ReviewResult
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import (
    BLUES,
    INK,
    NIGHT_SYMBOLS,
    PAPER,
    fill_between,
    mark_limits,
    styled,
)
from climrisk.render.charts.units import axes_of


def review_nights(result: ReviewResult) -> Chart:
    """Draw the model's band and middle, the logger's nights, and the plants' limits."""
    figure = Chart()
    model = [n for n in result.nights if n.model_c is not None]
    evenings = [n.evening for n in model]
    fill_between(
        figure,
        evenings,
        [n.model_low_c for n in model],
        [n.model_high_c for n in model],
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
    mark_limits(figure, (plant.tolerated_c for plant in result.plants))
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
