"""Maps of several plants side by side, in classes that need no color to be read."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.render.charts.chart import Chart
from climrisk.render.charts.style import FONT, INK, MUTED, PAPER

#: From warm and light to cold and dark; the last for cells without hours.
SHADES = ("#fff1d9", "#dbe8f2", "#aecbe2", "#6fa3c8", "#2f6c9c", "#123f66")
MISSING = "#cfd4d8"
#: Cells drawn along a side of a panel; finer maps show every n-th cell.
MOST_CELLS = 240
_PANEL_PX, _GAP_PX, _TOP_PX, _FOOT_PX, _LEFT_PX = 330, 34, 42, 92, 56


@dataclass(frozen=True)
class MapScale:
    """Classes of a map.

    Parameters
    ----------
    words : str
        What is shown, with its unit.
    edges : tuple of float
        A value belongs to the class of the last edge that it reaches.
    labels, shades : tuple of str
        One a class.
    reading : str
        What a darker cell means.
    missing : str
        What a gray cell means.
    """

    words: str
    edges: tuple[float, ...]
    labels: tuple[str, ...]
    shades: tuple[str, ...] = SHADES
    reading: str = "Darker is colder"
    missing: str = "no hours"

    def classes(self, values: Float) -> NDArray[np.int64]:
        """Return the class of each value; the number of classes where it is NaN."""
        found = np.searchsorted(self.edges, np.nan_to_num(values), side="right") - 1
        return np.where(np.isnan(values), len(self.labels), found)

    @property
    def legend(self) -> tuple[tuple[str, str], ...]:
        """Shade and label of each class, and of missing cells."""
        rows = zip(self.shades, self.labels, strict=True)
        return (*rows, (MISSING, self.missing))


HOURS = MapScale(
    "hours a year below the plant's night minimum",
    (0.0, 1e-6, 10.0, 100.0, 500.0, 2000.0),
    ("never", "under 10", "10 to 100", "100 to 500", "500 to 2000", "2000 and more"),
)
MONTHS = MapScale(
    "months a year from moving in to moving out",
    (0.0, 1e-6, 3.0, 6.0, 8.0, 10.0),
    ("none", "under 3", "3 to 6", "6 to 8", "8 to 10", "10 to 12"),
    reading="Darker is longer",
    missing="too few years",
)
#: Codes of `climrisk.advice.places.VERDICTS` but the last, which is missing.
VERDICT = MapScale(
    "what the spot allows, before the rooms of a home are looked at",
    (0.0, 1.0, 2.0, 3.0, 4.0, 5.0),
    ("out all year", "out, but watch", "in 1 to 6 months", "in 7 to 10 months",
     "too cold", "too hot"),
    (*SHADES[:4], SHADES[5], "#c8641e"),
    reading="Darker blue is colder, orange too hot",
    missing="too few years",
)  # fmt: skip


@dataclass(frozen=True)
class Panels:
    """Maps of one kind, a panel a plant.

    Parameters
    ----------
    latitude, longitude : ndarray, shape (y,) and (x,)
        Rising; longitudes from -180 to 180.
    titles : tuple of str
    values : tuple of ndarray, shape (y, x)
        NaN where a cell has no hours.
    scale : MapScale
    marks : tuple of (str, float, float)
        Name, latitude and longitude of cells picked out.
    """

    latitude: Float
    longitude: Float
    titles: tuple[str, ...]
    values: tuple[Float, ...]
    scale: MapScale
    marks: tuple[tuple[str, float, float], ...] = ()

    @property
    def thinned(self) -> Panels:
        """The same with at most `MOST_CELLS` a side."""
        ny, nx = self.values[0].shape
        y, x = (slice(None, None, -(-n // MOST_CELLS)) for n in (ny, nx))
        return Panels(
            self.latitude[y],
            self.longitude[x],
            self.titles,
            tuple(v[y, x] for v in self.values),
            self.scale,
            self.marks,
        )

    @property
    def height_px(self) -> float:
        """Height of a panel: a kilometer is as long both ways, within bounds."""
        middle = np.deg2rad(float(np.mean(self.latitude)))
        wide = _span(self.longitude) * max(float(np.cos(middle)), 0.1)
        return float(np.clip(_PANEL_PX * _span(self.latitude) / wide, 140, 460))

    def columns(self, *, narrow: bool) -> int:
        """Panels in a row."""
        return 1 if narrow else min(len(self.titles), 3)


def _span(axis: Float) -> float:
    return edges_of(axis)[1] - edges_of(axis)[0]


def edges_of(axis: Float) -> tuple[float, float]:
    """Return the outer edges of the cells of an axis."""
    step = float(np.abs(np.diff(axis)).min()) if len(axis) > 1 else 1.0
    return float(axis.min()) - step / 2, float(axis.max()) + step / 2


def maps_figure(panels: Panels) -> Chart:
    """Draw the maps side by side, three a row, on one scale."""
    shown = panels.thinned
    columns, count = shown.columns(narrow=False), len(shown.titles)
    rows = -(-count // columns)
    width = _LEFT_PX + columns * (_PANEL_PX + _GAP_PX)
    cell = shown.height_px + _TOP_PX + 30
    height = rows * cell + _FOOT_PX
    figure = Chart()
    layout: dict[str, Any] = {}
    for i in range(count):
        row, column = divmod(i, columns)
        left = (_LEFT_PX + column * (_PANEL_PX + _GAP_PX)) / width
        top = 1 - (row * cell + _TOP_PX) / height
        box = (left, left + _PANEL_PX / width, top - shown.height_px / height, top)
        _panel(figure, layout, shown, i, box, first=column == 0)
    _legend(figure, shown.scale, width, height)
    figure.update_layout(
        **layout,
        width=None,
        height=int(height),
        font={"family": FONT, "size": 13, "color": INK},
        paper_bgcolor=PAPER,
        plot_bgcolor=MISSING,
        margin={"l": 0, "r": 0, "t": 0, "b": 0},
        showlegend=False,
        dragmode=False,
        meta={"wide": True},
    )
    return figure


def _panel(
    figure: Chart,
    layout: dict[str, Any],
    shown: Panels,
    i: int,
    box: tuple[float, float, float, float],
    *,
    first: bool,
) -> None:
    name = "" if i == 0 else str(i + 1)
    scale, values = shown.scale, shown.values[i]
    found = scale.classes(values).astype(float)
    found[np.isnan(values)] = np.nan
    n = len(scale.labels)
    bands = [(at / n, scale.shades[k]) for k in range(n) for at in (k, k + 1)]
    figure.add_heatmap(
        x=np.round(shown.longitude, 4),
        y=np.round(shown.latitude, 4),
        z=found,
        customdata=np.round(values, 1),
        zmin=-0.5,
        zmax=n - 0.5,
        colorscale=bands,
        showscale=False,
        hoverongaps=False,
        xaxis=f"x{name}",
        yaxis=f"y{name}",
        hovertemplate="%{y:.2f}, %{x:.2f}: %{customdata:.1f}<extra></extra>",
    )
    if shown.marks:
        figure.add_scatter(
            x=[m[2] for m in shown.marks],
            y=[m[1] for m in shown.marks],
            text=[m[0] for m in shown.marks],
            mode="markers+text",
            textposition="middle center",
            textfont={"size": 12, "color": INK},
            marker={"size": 19, "color": PAPER, "line": {"color": INK, "width": 1.5}},
            xaxis=f"x{name}",
            yaxis=f"y{name}",
            hoverinfo="skip",
        )
    axis = {
        "fixedrange": True,
        "showgrid": False,
        "zeroline": False,
        "ticks": "outside",
        "tickcolor": MUTED,
        "nticks": 5,
        "linecolor": MUTED,
        "mirror": True,
        "showline": True,
        "tickfont": {"size": 11},
    }
    layout[f"xaxis{name}"] = {
        **axis,
        "domain": [box[0], box[1]],
        "anchor": f"y{name}",
        "range": list(edges_of(shown.longitude)),
        "ticksuffix": "°",
    }
    layout[f"yaxis{name}"] = {
        **axis,
        "domain": [box[2], box[3]],
        "anchor": f"x{name}",
        "range": list(edges_of(shown.latitude)),
        "ticksuffix": "°",
        "showticklabels": first,
    }
    figure.add_annotation(
        x=box[0],
        y=box[3],
        xref="paper",
        yref="paper",
        xanchor="left",
        yanchor="bottom",
        yshift=6,
        text=f"<b>{shown.titles[i]}</b>",
        showarrow=False,
        font={"size": 14, "color": INK},
    )


def _legend(figure: Chart, scale: MapScale, width: float, height: float) -> None:
    """Draw the classes as boxes with their words, and what they are."""
    step = (width - _LEFT_PX - _GAP_PX) / (len(scale.labels) + 1)
    for k, (shade, label) in enumerate(scale.legend):
        left = (_LEFT_PX + k * step) / width
        figure.add_shape(
            type="rect",
            xref="paper",
            yref="paper",
            x0=left,
            x1=left + (step - 6) / width,
            y0=34 / height,
            y1=50 / height,
            fillcolor=shade,
            line={"color": MUTED, "width": 1},
        )
        figure.add_annotation(
            x=left,
            y=32 / height,
            xref="paper",
            yref="paper",
            xanchor="left",
            yanchor="top",
            text=label,
            showarrow=False,
            font={"size": 12},
        )
    figure.add_annotation(
        x=_LEFT_PX / width,
        y=54 / height,
        xref="paper",
        yref="paper",
        xanchor="left",
        yanchor="bottom",
        text=scale.words,
        showarrow=False,
        font={"size": 13},
    )
