"""The risk of every date, in autumn and in spring, with what few winters leave open."""

from __future__ import annotations

from typing import Any

from climrisk.commands.assess.result import AssessResult
from climrisk.commands.shared.dates_result import Move, RiskDay
from climrisk.core.days import day_in_words
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, MUTED, styled

_RISKS: dict[str, Any] = {"range": [0, 0.55], "tickformat": ".0%", "dtick": 0.1}


def risk_dates(result: AssessResult) -> Chart:
    """Draw risk against date, autumn above and spring below.

    A line for the risk, a shade for 8 chances in 10, a mark at each date advised.
    """
    figure = Chart()
    curves = result.risk_curve
    sides = (
        ("x", "y", curves.autumn, result.move_in, "moving in"),
        ("x2", "y2", curves.spring, result.move_out, "moving out"),
    )
    for x, y, rows, advised, words in sides:
        _curve(figure, rows, x, y)
        _mark(figure, rows, advised, x, y, words)
    styled(figure, height=520, y_title="", months=None, dates=False, top=52)
    figure.update_layout(
        xaxis={"anchor": "y", **_ticks(curves.autumn)},
        xaxis2={"anchor": "y2", **_ticks(curves.spring)},
        yaxis={**_RISKS, "domain": [0.58, 1.0], "anchor": "x"},
        yaxis2={**_RISKS, "domain": [0.0, 0.42], "anchor": "x2"},
        margin={"r": 16},
    )
    for title, move, top in (
        ("Autumn: a harmful night comes before it", result.move_in, 1.0),
        ("Spring: a harmful night comes on or after it", result.move_out, 0.42),
    ):
        figure.add_annotation(
            text=f"{title}{_other_reason(move)}",
            align="left",
            x=0,
            y=top,
            xref="paper",
            yref="paper",
            xanchor="left",
            yanchor="bottom",
            yshift=8,
            showarrow=False,
            font={"size": 13, "color": INK},
        )
    return figure


def _other_reason(move: Move) -> str:
    """Return the date that keeps another promise, so that it stands on no risk."""
    if move.governed_by != "cold nights" or move.month_day is None:
        return ""
    day = day_in_words(move.month_day, brief=True)
    return f"<br><b>{day}</b>: long cold decides, not this risk"


def _curve(figure: Chart, rows: list[RiskDay], x: str, y: str) -> None:
    at = list(range(len(rows)))
    low = [r.risk.low for r in rows]
    high = [r.risk.high for r in rows]
    figure.add_scatter(
        x=at + at[::-1],
        y=high + low[::-1],
        xaxis=x,
        yaxis=y,
        mode="lines",
        fill="toself",
        fillcolor=BLUES[0],
        line={"color": BLUES[1], "width": 0.5},
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=at,
        y=[r.risk.mid for r in rows],
        xaxis=x,
        yaxis=y,
        mode="lines",
        line={"color": BLUES[3], "width": 2.5},
        customdata=[[day_in_words(r.month_day), r.risk.low, r.risk.high] for r in rows],
        hovertemplate="%{customdata[0]}: %{y:.0%} (%{customdata[1]:.0%} to "
        "%{customdata[2]:.0%})<extra></extra>",
    )


def _mark(
    figure: Chart, rows: list[RiskDay], move: Move, x: str, y: str, words: str
) -> None:
    if move.month_day is None:
        figure.add_annotation(
            text=f"no date for {words}",
            x=0.5,
            y=0.5,
            xref=f"{x} domain",
            yref=f"{y} domain",
            showarrow=False,
            font={"color": MUTED},
        )
        return
    if move.governed_by == "cold nights":
        return
    places = {r.month_day: i for i, r in enumerate(rows)}
    at = places.get(move.month_day)
    if at is None:
        # The first day out may lie just behind the last cold night ever seen.
        at = len(rows) if words == "moving out" else 0
    figure.add_scatter(
        x=[at],
        y=[move.risk],
        xaxis=x,
        yaxis=y,
        mode="markers",
        marker={"symbol": "diamond", "size": 12, "color": INK},
        hoverinfo="skip",
    )
    figure.add_annotation(
        text=f"<b>{day_in_words(move.month_day, brief=True)}</b>, {move.risk:.0%}",
        x=at,
        y=move.risk,
        xref=x,
        yref=y,
        ax=0,
        ay=-30,
        xanchor="left" if at < len(rows) / 2 else "right",
        arrowcolor=INK,
        arrowwidth=1,
        arrowhead=0,
        font={"color": INK, "size": 13},
    )


def _ticks(rows: list[RiskDay]) -> dict[str, object]:
    step = max(1, -(-len(rows) // 5))
    at = list(range(0, len(rows), step))
    return {
        "range": [-1.5, len(rows) + 1.5],
        "tickvals": at,
        "ticktext": [day_in_words(rows[i].month_day, brief=True) for i in at],
        "title": None,
    }
