"""Spots side by side: hours below the limit on still and on windy nights."""

from __future__ import annotations

from climrisk.commands.spots.result import SpotRow, SpotsResult
from climrisk.core.quantities import temperature
from climrisk.core.ranges import Band
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import BLUES, INK, PAPER, styled

_ROW_PX = 58
_APART = 0.17
_SHADES = {"still": BLUES[-1], "windy": BLUES[2]}
_MARKS = {"still": "circle", "windy": "triangle-down"}
_SIDES = (("still", -_APART), ("windy", _APART))


def spots_dots(result: SpotsResult) -> Chart:
    """Draw each spot on two lines: clear calm nights above, windy ones below.

    The mark is the median, the line holds 8 chances in 10, and an open square shows
    the roots in the pot that was asked for.
    """
    figure = Chart()
    rows = result.spots
    for place, row in enumerate(rows):
        for regime, side in _SIDES:
            _lane(figure, row, regime, place + side)
    _name_lanes(figure, rows)
    styled(
        figure,
        height=120 + _ROW_PX * len(rows),
        y_title="",
        months=None,
        dates=False,
        top=30,
    )
    figure.update_yaxes(
        tickvals=list(range(len(rows))),
        ticktext=[f"{r.rank}  {r.spot}<br><b>{r.word}</b>" for r in rows],
        range=[len(rows) - 0.45, -0.75],
        showgrid=False,
        zeroline=False,
        title=None,
    )
    figure.update_xaxes(
        title={
            "text": f"hours below {temperature(result.preferred_c)} in a winter",
            "font": {"size": 13},
        },
        showgrid=True,
        range=_range(rows),
        zeroline=False,
    )
    figure.update_layout(margin={"l": 10, "r": 20, "b": 62})
    return figure


def _range(rows: list[SpotRow]) -> list[float]:
    """Return a range with room for marks at nothing and at the end."""
    ends = [
        band.high or 0.0
        for r in rows
        for band in (_band(r, "still"), _band(r, "windy"))
    ]
    most = max([*ends, 10.0])
    return [-0.02 * most, 1.04 * most]


def _band(row: SpotRow, regime: str) -> Band:
    nights = row.still_nights if regime == "still" else row.windy_nights
    return nights.hours_below_preferred


def _lane(figure: Chart, row: SpotRow, regime: str, y: float) -> None:
    band, shade = _band(row, regime), _SHADES[regime]
    if band.mid is None:
        return
    figure.add_scatter(
        x=[band.low, band.high],
        y=[y, y],
        mode="lines",
        line={"color": shade, "width": 4},
        hoverinfo="skip",
    )
    figure.add_scatter(
        x=[band.mid],
        y=[y],
        mode="markers",
        marker={
            "symbol": _MARKS[regime],
            "size": 13,
            "color": shade,
            "line": {"width": 1.5, "color": PAPER},
        },
        hovertemplate=f"{row.spot}, {regime} nights: %{{x:,.0f}} h<extra></extra>",
    )
    nights = row.still_nights if regime == "still" else row.windy_nights
    figure.add_scatter(
        x=[nights.root_zone_hours_below_preferred.mid],
        y=[y],
        mode="markers",
        marker={
            "symbol": "square-open",
            "size": 8,
            "color": INK,
            "line": {"width": 1.5},
        },
        hovertemplate=f"{row.spot}, roots, {regime}: %{{x:,.0f}} h<extra></extra>",
    )


def _name_lanes(figure: Chart, rows: list[SpotRow]) -> None:
    """Name both lines beside those of the spot with the most hours."""
    last = max(rows, key=lambda r: _band(r, "still").high or 0.0)
    place = rows.index(last)
    most = _range(rows)[1]
    for regime, side in _SIDES:
        words = "clear calm nights" if regime == "still" else "windy or cloudy"
        band = _band(last, regime)
        low, high = band.low or 0.0, band.high or 0.0
        # Left of the line, or right of it where the left has no room.
        left = low > 0.3 * most or high > 0.7 * most
        figure.add_annotation(
            x=low if left else high,
            y=place + side,
            text=words,
            showarrow=False,
            xanchor="right" if left else "left",
            xshift=-14 if left else 14,
            font={"size": 12, "color": _SHADES[regime]},
        )
