"""What all pictures share: colors, font, limits across, and the way to a PNG."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date
from html import escape
from typing import Any

from climrisk.core.quantities import temperature
from climrisk.core.references import field
from climrisk.render.charts.chart import Chart, to_plotly
from climrisk.render.document import SeasonBand

INK, PAPER, GRID = "#17212b", "#ffffff", "#e3e7ea"
BLUES = ("#dbe8f2", "#8fb8d6", "#3f7fae", "#123f66")
ORANGE, MUTED = "#b4540a", "#5b6770"
FONT = "system-ui, 'Segoe UI', 'DejaVu Sans', sans-serif"
_TITLE_PX, _LINE_PX = 34, 15

#: Without the plot library's own tools, sharing and logo.
CONFIG: dict[str, Any] = {
    "displayModeBar": False,
    "displaylogo": False,
    "showSendToCloud": False,
    "plotlyServerURL": "",
    "responsive": True,
    "scrollZoom": False,
    "doubleClick": False,
}

#: Least distance of two limits' names in the margin, in kelvin of a usual picture.
_LABEL_K = 4.0
#: Symbols of nights by their kind.
NIGHT_SYMBOLS = {"still": "circle", "mixed": "diamond", "windy": "triangle-down"}


def draw_limits(figure: Chart, lines: list[tuple[float, str, str]]) -> None:
    """Draw limits right across and name them in the margin, where nothing covers them.

    Names of close limits are pushed apart, the higher up.
    """
    order = sorted(lines)
    places = [value for value, _, _ in order]
    for i in range(1, len(places)):
        lack = _LABEL_K - (places[i] - places[i - 1])
        if lack > 0:
            places[i - 1] -= lack / 2
            places[i] += lack / 2
    for (value, words, dash), place in zip(order, places, strict=True):
        figure.add_hline(y=value, line={"color": ORANGE, "width": 2, "dash": dash})
        figure.add_annotation(
            x=1.0,
            xref="paper",
            y=place,
            text=f"{words}<br><b>{temperature(value)}</b>"
            if words
            else f"<b>{temperature(value)}</b>",
            showarrow=False,
            xanchor="left",
            xshift=6,
            align="left",
            font={"color": ORANGE, "size": 13},
        )


def mark_limits(figure: Chart, limits: Iterable[float], *, left: bool = False) -> None:
    """Draw limits right across, each with its value at one end."""
    place = {"x": 0.0, "yanchor": "bottom"} if left else {"x": 1.0, "xshift": 6}
    for limit in sorted(set(limits)):
        figure.add_hline(y=limit, line={"color": ORANGE, "width": 1.5, "dash": "dash"})
        figure.add_annotation(
            **place,
            xref="paper",
            y=limit,
            text=f"{temperature(limit)}",
            showarrow=False,
            xanchor="left",
            font={"size": 11, "color": INK},
        )


def fill_between(
    figure: Chart,
    x: Sequence[str],
    low: Iterable[float | None],
    high: Sequence[float | None],
) -> None:
    """Shade what lies between two lines."""
    figure.add_scatter(
        x=[*x, *reversed(x)],
        y=[*low, *reversed(high)],
        fill="toself",
        fillcolor="rgba(90, 140, 190, 0.28)",
        line={"width": 0},
        mode="lines",
        hoverinfo="skip",
    )


def styled(
    figure: Chart,
    *,
    height: int,
    y_title: str,
    months: list[SeasonBand] | None,
    dates: bool = True,
    top: int = 24,
) -> Chart:
    """Return a figure with the looks that all share; `months` opens a whole year."""
    figure.update_layout(
        height=height,
        font={"family": FONT, "size": 13, "color": INK},
        paper_bgcolor=PAPER,
        plot_bgcolor=PAPER,
        margin={"l": 50, "r": 84, "t": top, "b": 40},
        showlegend=False,
        hovermode="closest",
        dragmode=False,
    )
    figure.update_yaxes(
        title={"text": y_title, "standoff": 8, "font": {"size": 13}},
        automargin=True,
        gridcolor=GRID,
        zeroline=True,
        zerolinecolor=MUTED,
        zerolinewidth=1,
        fixedrange=True,
    )
    figure.update_xaxes(
        showgrid=False, fixedrange=True, ticks="outside", tickcolor=MUTED
    )
    if dates:
        figure.update_xaxes(
            type="date", tickformat="%b", dtick="M1", ticklabelmode="period"
        )
    if months is not None:
        first = int(months[0].starts[:2])
        end = date(2002, first, 1).isoformat()
        figure.update_xaxes(range=[date(2001, first, 1).isoformat(), end])
    return figure


def png(figure: Chart, *, title: str, foot: str, width: int = 1100) -> bytes:
    """Return a figure as PNG; needs the extra ``image`` and a Chromium.

    Parameters
    ----------
    figure : Chart
    title : str
        Stands above the picture, which hangs alone on a wall.
    foot : str
        Stands below, a line each: how to read it, where the weather comes from, and
        whom to credit.
    width : int
        [px]; the picture has twice as many.

    Raises
    ------
    InputError
        With the cure, where either is missing.
    """
    from climrisk.core.errors import InputError

    lone = to_plotly(figure)
    lines = [escape(line) for line in foot.split("\n")]
    below = _LINE_PX * len(lines) + 8
    height = int(figure.layout["height"]) + _TITLE_PX + below
    margin = figure.layout["margin"]
    lone.update_layout(
        height=height,
        margin={"t": margin["t"] + _TITLE_PX, "b": margin["b"] + below},
        title={
            "text": f"<b>{escape(title)}</b>",
            "x": 0.01,
            "xanchor": "left",
            "y": 1 - 20 / height,
            "yanchor": "middle",
            "font": {"size": 19, "color": INK},
        },
    )
    lone.add_annotation(
        x=0,
        xref="paper",
        y=0,
        yref="paper",
        yshift=-margin["b"] + 2,
        yanchor="top",
        text="<br>".join(lines),
        align="left",
        showarrow=False,
        xanchor="left",
        font={"size": 11, "color": MUTED},
    )
    try:
        data = lone.to_image(format="png", width=width, height=height, scale=2)
    except (ImportError, ValueError, RuntimeError, OSError) as error:
        raise InputError(
            "no PNG can be drawn here",
            where=field("png"),
            value=str(error).split("\n")[0],
            next_step='pip install "climrisk[image]", and a Chromium browser',
        ) from error
    return bytes(data)
