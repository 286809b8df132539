"""A chart is what Plotly makes of the same words, and its script is told the same."""

from __future__ import annotations

import json

import numpy as np
import plotly.graph_objects as go
import pytest

from climrisk.render.charts.chart import Chart, plotly_json, to_plotly


def drawn(figure):
    """Say the same to a chart or to a figure of Plotly."""
    figure.add_scatter(
        x=["2001-01-01", "2001-01-02"], y=[1.5, None], mode="lines", line={"width": 2}
    )
    figure.add_bar(x=["2001-01-01"], y=[3.0], base=[-1.0], width=0.5)
    figure.add_scatter(x=[1, 2], y=[3, 4], xaxis="x2", yaxis="y2")
    figure.add_hline(y=4.0, line={"color": "#b4540a"})
    figure.add_vline(x="2001-01-02", line={"dash": "dot"})
    figure.add_vrect(x0="2001-01-01", x1="2001-01-02", fillcolor="#eee", layer="below")
    figure.add_annotation(x=1.0, xref="paper", y=4.0, text="a limit", showarrow=False)
    figure.update_layout(margin={"l": 50, "r": 84}, height=300)
    figure.update_layout(margin={"r": 20}, yaxis2={"domain": [0.0, 0.4]})
    figure.update_yaxes(title={"text": "°C", "font": {"size": 13}}, showgrid=True)
    figure.update_yaxes(title={"text": "K"}, showgrid=None)
    figure.update_xaxes(type="date", range=["2001-01-01", "2001-02-01"])
    return figure


def without_nothing(held):
    if isinstance(held, dict):
        return {k: without_nothing(v) for k, v in held.items() if v is not None}
    if isinstance(held, list | tuple):
        return [without_nothing(v) for v in held]
    return held


def test_a_chart_says_what_a_figure_of_plotly_says():
    theirs = drawn(go.Figure(layout={"template": "none"}))
    ours = to_plotly(drawn(Chart()))
    assert json.loads(ours.to_json()) == json.loads(theirs.to_json())
    script = plotly_json(drawn(Chart()))
    held = json.loads(theirs.to_json())
    del held["layout"]["template"]
    assert without_nothing(script) == without_nothing(held)


@pytest.mark.parametrize("kind", [np.float32, np.float64])
def test_arrays_are_packed_as_plotly_packs_them(kind):
    cells = {"x": np.arange(3.0), "z": np.arange(6).reshape(2, 3).astype(kind)}
    chart = Chart()
    chart.add_heatmap(**cells)
    theirs = json.loads(go.Figure(go.Heatmap(**cells)).to_json())["data"]
    assert plotly_json(chart)["data"] == theirs


def test_what_is_not_known_is_null():
    chart = Chart()
    chart.add_scatter(x=[0, 1], y=[float("nan"), np.float32(2.0)])
    assert chart.traces[0]["y"] == [None, 2.0]
    json.dumps(plotly_json(chart), allow_nan=False)
