"""What a chart shows, before anything draws it.

A chart is drawn in two ways: `svg` makes the picture that every page shows at once and
prints, `to_plotly` hands it to Plotly, for zooming, for Python and for PNG. Its words
for marks, axes and notes are those that Plotly documents for its figures, of which only
what our charts use is known to both.
"""

from __future__ import annotations

import base64
import math
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from plotly.graph_objects import Figure


@dataclass
class Chart:
    """Marks, axes and notes of a chart.

    Parameters
    ----------
    traces : list of dict
        Points, lines, bars or cells, in the order in which they are drawn. Numbers and
        days are lists, those of cells arrays; None or NaN where there is nothing.
    layout : dict
        Size, margins, axes (``xaxis``, ``yaxis``, and ``xaxis2`` ... of further
        panels), lines and rectangles across (``shapes``), and notes (``annotations``).
    """

    traces: list[dict[str, Any]] = field(default_factory=list)
    layout: dict[str, Any] = field(default_factory=dict)

    def add_scatter(self, **trace: Any) -> None:
        """Add points, lines, or a band to the trace before."""
        self._add("scatter", trace)

    def add_bar(self, **trace: Any) -> None:
        """Add bars, each from its base on."""
        self._add("bar", trace)

    def add_heatmap(self, **trace: Any) -> None:
        """Add colored cells."""
        self._add("heatmap", trace)

    def _add(self, kind: str, trace: dict[str, Any]) -> None:
        self.traces.append(_plain({"type": kind, **trace}))

    def add_annotation(self, **note: Any) -> None:
        """Add a note."""
        self.layout.setdefault("annotations", []).append(_plain(note))

    def add_shape(self, **shape: Any) -> None:
        """Add a line or a rectangle."""
        self.layout.setdefault("shapes", []).append(_plain(shape))

    def add_hline(self, y: Any, **rest: Any) -> None:
        """Add a line right across, at a height."""
        ends = {"x0": 0, "x1": 1, "xref": "x domain", "y0": y, "y1": y, "yref": "y"}
        self.add_shape(type="line", **ends, **rest)

    def add_vline(self, x: Any, **rest: Any) -> None:
        """Add a line from top to bottom."""
        ends = {"x0": x, "x1": x, "xref": "x", "y0": 0, "y1": 1, "yref": "y domain"}
        self.add_shape(type="line", **ends, **rest)

    def add_vrect(self, x0: Any, x1: Any, **rest: Any) -> None:
        """Add a rectangle from top to bottom."""
        ends = {"x0": x0, "x1": x1, "xref": "x", "y0": 0, "y1": 1, "yref": "y domain"}
        self.add_shape(type="rect", **ends, **rest)

    def update_layout(self, **changes: Any) -> None:
        """Change the parts of the layout that are named; None takes one away."""
        _merge(self.layout, changes)

    def update_xaxes(self, **changes: Any) -> None:
        """Change all axes along x."""
        self._update_axes("xaxis", changes)

    def update_yaxes(self, **changes: Any) -> None:
        """Change all axes along y."""
        self._update_axes("yaxis", changes)

    def _update_axes(self, kind: str, changes: dict[str, Any]) -> None:
        self.layout.setdefault(kind, {})
        for name in [n for n in self.layout if n.startswith(kind)]:
            _merge(self.layout[name], changes)


def _merge(held: dict[str, Any], changes: dict[str, Any]) -> None:
    for name, value in changes.items():
        if isinstance(value, dict) and isinstance(held.get(name), dict):
            _merge(held[name], value)
        elif value is None:
            held.pop(name, None)
        else:
            held[name] = _plain(value)


def _plain(value: Any) -> Any:
    """Return plain numbers and lists, and None for numbers that are not known."""
    if isinstance(value, dict):
        return {k: _plain(v) for k, v in value.items()}
    if isinstance(value, np.generic):
        value = value.item()
    if isinstance(value, list | tuple):
        return [_plain(v) for v in value]
    return None if isinstance(value, float) and math.isnan(value) else value


def plotly_json(chart: Chart) -> dict[str, Any]:
    """Return a chart as Plotly's script takes it; arrays are packed."""
    data = [{k: _packed(v) for k, v in trace.items()} for trace in chart.traces]
    return {"data": data, "layout": chart.layout}


def _packed(value: Any) -> Any:
    if not isinstance(value, np.ndarray):
        return value
    code = f"{value.dtype.kind}{value.dtype.itemsize}"
    held = {"dtype": code, "bdata": base64.b64encode(value.tobytes()).decode()}
    shape = {"shape": ", ".join(map(str, value.shape))} if value.ndim > 1 else {}
    return held | shape


def to_plotly(chart: Chart) -> Figure:
    """Return a chart as a figure of Plotly, without looks of Plotly's own."""
    import plotly.graph_objects as go

    return go.Figure(chart.traces, {**chart.layout, "template": "none"})
