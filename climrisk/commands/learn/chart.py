"""What a logger taught: each night's difference from the station by its regime."""

from __future__ import annotations

from climrisk.commands.learn.result import LearnResult
from climrisk.core.days import day
from climrisk.core.quantities import DEGREES_APART, DIFFERENCE
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, MUTED, NIGHT_SYMBOLS, styled
from climrisk.render.charts.units import axes_of

#: Closer lines share a name.
_LEAST_APART_K = 0.2


def lesson_dots(result: LearnResult) -> Chart:
    """Draw the nights, the line before (dashed) and the one learned, with its band."""
    figure = Chart()
    x = [0.0, 1.0]
    figure.add_scatter(
        x=[*x, *reversed(x)],
        y=[result.windy.low, result.still.low, result.still.high, result.windy.high],
        fill="toself",
        fillcolor=BLUES[0],
        line={"width": 0},
        mode="lines",
        hoverinfo="skip",
    )
    for kind, symbol in NIGHT_SYMBOLS.items():
        nights = [n for n in result.nights if n.kind == kind]
        figure.add_scatter(
            x=[n.regime_weight for n in nights],
            y=[n.difference_k for n in nights],
            mode="markers",
            marker={
                "symbol": symbol,
                "size": 9,
                "color": BLUES[2],
                "opacity": 0.75,
                "line": {"width": 0.5, "color": INK},
            },
            customdata=[day(n.evening) for n in nights],
            hovertemplate="%{customdata}: %{y:+.1f} "
            + DEGREES_APART
            + "<extra></extra>",
        )
    figure.add_scatter(
        x=x,
        y=[result.prior_windy.mean, result.prior_still.mean],
        mode="lines",
        line={"color": MUTED, "width": 2, "dash": "dash"},
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=x,
        y=[result.windy.mean, result.still.mean],
        mode="lines",
        line={"color": INK, "width": 3.5},
        hoverinfo="skip",
    )
    apart = abs(result.still.mean - result.prior_still.mean) > _LEAST_APART_K
    for words, y, shade in (
        ("learned", result.still.mean, INK),
        ("before", result.prior_still.mean, MUTED),
    )[: 2 if apart else 1]:
        figure.add_annotation(
            x=1.0,
            y=y,
            text=words,
            showarrow=False,
            xanchor="left",
            xshift=10,
            font={"size": 12, "color": shade},
        )
    figure.add_hline(y=0, line={"color": INK, "width": 1, "dash": "dot"})
    axes_of(figure, y=DIFFERENCE)
    styled(
        figure,
        height=380,
        y_title="night minimum, spot minus station",
        months=None,
        dates=False,
        top=28,
    )
    figure.update_yaxes(ticksuffix=f" {DEGREES_APART}", zeroline=False)
    figure.update_xaxes(
        tickvals=[0, 0.5, 1],
        ticktext=["windy or cloudy", "between", "clear and calm"],
        range=[-0.06, 1.14],
        showgrid=False,
        zeroline=False,
    )
    return figure
