"""The winter ladder: one winter night by night; and all winters side by side."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Any

from climrisk.commands.winter.result import NightRow, WinterResult
from climrisk.core.days import day_in_words
from climrisk.core.quantities import DEGREES, TEMPERATURE, number, temperature
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import (
    BLUES,
    GRID,
    INK,
    MUTED,
    PAPER,
    draw_limits,
    styled,
)
from climrisk.render.charts.units import axes_of

#: What a limit of a plant is called beside its line.
_LIMITS = {"preferred": "prefers", "tolerated": "tolerates"}


def winter_ladder(result: WinterResult) -> Chart:
    """Draw one winter: a bar a night from its lowest to its evening temperature."""
    figure = Chart()
    key = f"{result.thresholds[0].threshold_c:g}"
    for kind, shape, words in (
        ("still", "", "clear, calm"),
        ("mixed", ".", "mixed"),
        ("windy", "/", "windy or cloudy"),
    ):
        for shade in BLUES:
            rows = [
                n
                for n in result.nights
                if n.kind == kind
                and n.lowest_c is not None
                and _shade(n.hours_below[key]) == shade
            ]
            if rows:
                figure.add_bar(
                    **_bars(
                        rows, shade, shape, f"{temperature(float(key))}, {words}", key
                    )
                )
    _gaps(figure, result)
    lines = [
        (row.threshold_c, _LIMITS.get(row.words, row.words), "dash" if i else "solid")
        for i, row in enumerate(result.thresholds[:4])
    ]
    draw_limits(figure, lines)
    _worst(figure, result)
    figure.update_layout(barmode="overlay")
    first, last = (date.fromisoformat(result.nights[i].evening) for i in (0, -1))
    day = timedelta(days=1)
    figure.update_xaxes(range=[(first - day).isoformat(), (last + day).isoformat()])
    axes_of(figure, y=TEMPERATURE, held=1)
    return styled(figure, height=470, y_title=DEGREES, months=None)


#: Least distance of two labels, in days of a winter's width.
_LABEL_DAYS = 10


def _worst(figure: Chart, result: WinterResult) -> None:
    """Name the five coldest nights below the picture, each with a thread to its bar."""
    nights = sorted(result.worst, key=lambda n: n.evening)
    if not nights:
        return
    days = [date.fromisoformat(n.evening) for n in nights]
    first = date.fromisoformat(result.nights[0].evening)
    last = date.fromisoformat(result.nights[-1].evening)
    at = _apart([(d - first).days for d in days], _LABEL_DAYS, (last - first).days)
    lowest = min(n.lowest_c or 0.0 for n in result.worst)
    rank = {n.evening: i for i, n in enumerate(result.worst)}
    for night, place in zip(nights, at, strict=True):
        day = date.fromisoformat(night.evening)
        figure.add_annotation(
            x=night.evening,
            y=night.lowest_c,
            ax=(first + timedelta(days=place)).isoformat(),
            ay=lowest - 2.2,
            axref="x",
            ayref="y",
            text=f"<b>{number(TEMPERATURE, night.lowest_c, 1)}°</b><br>"
            + day_in_words(day, year=False, brief=True),
            name=f"worst {rank[night.evening]}",
            arrowhead=0,
            arrowwidth=1,
            arrowcolor=MUTED,
            yanchor="top",
            font={"size": 12, "color": INK},
        )
    tops = [
        (n.lowest_c or 0.0) + _height(n)
        for n in result.nights
        if n.lowest_c is not None
    ]
    figure.update_yaxes(range=[lowest - 5.2, max(tops) + 1.5])


def _apart(places: list[int], least: int, end: int) -> list[int]:
    """Return places in order, pushed apart to a least distance within 0 to `end`."""
    out = list(places)
    for _ in range(60):
        for i in range(len(out) - 1):
            lack = least - (out[i + 1] - out[i])
            if lack > 0:
                out[i] -= (lack + 1) // 2
                out[i + 1] += (lack + 1) // 2
        out = [min(max(p, 3), end - 3) for p in out]
    return out


def _bars(
    rows: list[NightRow], shade: str, shape: str, words: str, key: str
) -> dict[str, Any]:
    """Return the bars of nights of one kind and shade."""
    return {
        "x": [n.evening for n in rows],
        "base": [n.lowest_c for n in rows],
        "y": [_height(n) for n in rows],
        "width": 0.86 * 86_400_000,
        "marker": {
            "color": shade,
            "line": {"width": 0.6, "color": BLUES[3]},
            "pattern": {
                "shape": shape,
                "size": 5,
                "solidity": 0.32,
                "fgcolor": PAPER if shade in BLUES[2:] else BLUES[2],
                "fillmode": "overlay",
            },
        },
        "customdata": [[n.lowest_c, n.hours_below[key]] for n in rows],
        "hovertemplate": "%{x|%d %b %Y}: lowest %{customdata[0]:.1f} " + DEGREES + ", "
        f"%{{customdata[1]:.0f}} h below {words}<extra></extra>",
    }


def _height(night: NightRow) -> float:
    top = night.evening_c if night.evening_c is not None else night.lowest_c
    return max((top or 0.0) - (night.lowest_c or 0.0), 0.25)


def _shade(hours: float) -> str:
    """Return a darker blue for more hours below the first limit."""
    for limit, color in ((0.5, BLUES[0]), (4.5, BLUES[1]), (9.5, BLUES[2])):
        if hours < limit:
            return color
    return BLUES[3]


def _gaps(figure: Chart, result: WinterResult) -> None:
    for night in result.nights:
        if night.lowest_c is None:
            start = date.fromisoformat(night.evening)
            figure.add_vrect(
                x0=start.isoformat(),
                x1=(start + timedelta(days=1)).isoformat(),
                fillcolor=GRID,
                line={"width": 0.5, "color": MUTED, "dash": "dot"},
                layer="below",
            )


def winters_bar(result: WinterResult) -> Chart:
    """Draw all winters: nights below the first threshold, and the coldest night."""
    key = f"{result.thresholds[0].threshold_c:g}"
    rows = result.winters
    shown = [r.label == result.shown for r in rows]
    figure = Chart()
    figure.add_bar(
        x=[r.label for r in rows],
        y=[r.cold_nights[key] if r.counts else None for r in rows],
        marker={
            "color": [BLUES[3] if s else BLUES[1] for s in shown],
            "line": {"width": 0.5, "color": BLUES[3]},
        },
        text=[
            "" if r.lowest_c is None else f"{number(TEMPERATURE, r.lowest_c, 0)}°"
            for r in rows
        ],
        textposition="outside",
        textfont={"size": 11, "color": INK},
        hovertemplate="winter %{x}: %{y} nights, coldest %{text}<extra></extra>",
    )
    figure.update_xaxes(type="category", tickangle=-90, automargin=True)
    return styled(
        figure,
        height=320,
        y_title=f"nights below {temperature(float(key))}",
        months=None,
        dates=False,
    )
