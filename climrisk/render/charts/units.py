"""A chart in its reader's units and order of dates.

A chart is built in metric units. `axes_of` declares which axis, and which column of the
custom data, holds which kind of quantity; units in its texts are typed.
"""

from __future__ import annotations

from collections.abc import Callable
from copy import deepcopy
from typing import TYPE_CHECKING, Any

from climrisk.core.quantities import KINDS, Kind, in_units
from climrisk.render.charts.chart import Chart

if TYPE_CHECKING:
    from climrisk.core.typed_text import Viewer


def axes_of(
    figure: Chart, *, x: Kind | None = None, y: Kind | None = None, held: int = 0
) -> None:
    """Declare which kind of quantity is on each axis of a chart.

    The first `held` columns of custom data are of the kind on the y axis.
    """
    kinds = {"x": x, "y": y}
    meta = {name: kind.code for name, kind in kinds.items() if kind is not None}
    figure.update_layout(meta={**meta, "held": held})


def for_viewer(figure: Chart, viewer: Viewer) -> Chart:
    """Return a copy of a chart in its reader's units, with dates in their order."""
    layout = deepcopy(figure.layout)
    held: dict[str, Any] = {"data": deepcopy(figure.traces), "layout": layout}
    kinds = layout.pop("meta", None) or {}
    if viewer.units == "us":
        for name in ("x", "y"):
            if name in kinds:
                _axis(held, name, KINDS[kinds[name]])
        if kinds.get("held"):
            for trace in held["data"]:
                _columns(trace, KINDS[kinds["y"]], kinds["held"])
    _texts(held, viewer)
    return Chart(held["data"], layout)


def _texts(held: dict[str, Any], viewer: Viewer) -> None:
    words, layout = viewer.text, held["layout"]
    for note in layout.get("annotations") or ():
        note["text"] = words(str(note["text"]))
    for name in ("xaxis", "xaxis2", "yaxis", "yaxis2"):
        axis = layout.get(name) or {}
        for part, key in ((axis, "ticksuffix"), (axis.get("title") or {}, "text")):
            if part.get(key):
                part[key] = words(part[key])
        if axis.get("tickformat"):
            axis["tickformat"] = viewer.day_format(axis["tickformat"])
        if axis.get("ticktext"):
            axis["ticktext"] = [words(str(text)) for text in axis["ticktext"]]
    for trace in held["data"]:
        for key in ("hovertemplate", "text", "customdata"):
            trace[key] = _each(trace.get(key), words)
        trace["hovertemplate"] = _each(trace["hovertemplate"], viewer.day_format)
        for key in ("x", "y"):
            # Categories, such as pots; days stay as they are.
            trace[key] = _each(trace.get(key), lambda t: in_units(t, viewer.units))


def _each(value: Any, change: Callable[[str], str]) -> Any:
    """Return a text, or the texts of a list, changed; anything else as it is."""
    if isinstance(value, str):
        return change(value)
    if isinstance(value, list | tuple):
        return [_each(v, change) for v in value]
    return value


def _axis(held: dict[str, Any], name: str, kind: Kind) -> None:
    axis = held["layout"].get(f"{name}axis") or {}

    def moved(value: Any) -> Any:
        is_text = value is None or isinstance(value, str)
        return value if is_text else kind.value(value, "us")

    if axis.get("range"):
        axis["range"] = [moved(v) for v in axis["range"]]
    axis.pop("dtick", None)
    for trace in held["data"]:
        _trace(trace, name, kind, moved)
    _across(held["layout"], name, moved)


def _across(layout: dict[str, Any], name: str, moved: Callable[[Any], Any]) -> None:
    for part in layout.get("shapes") or ():
        if part.get(f"{name}ref") in (None, name):
            for key in (f"{name}0", f"{name}1"):
                part[key] = moved(part[key])
    for note in layout.get("annotations") or ():
        if note.get(f"{name}ref") in (None, name):
            note[name] = moved(note[name])
        if note.get(f"a{name}ref") == name:
            note[f"a{name}"] = moved(note[f"a{name}"])


def _trace(
    trace: dict[str, Any], name: str, kind: Kind, moved: Callable[[Any], Any]
) -> None:
    values = list(trace.get(name) or ())
    if trace.get("type") == "bar":
        # A bar stands on its base, and its length is a difference.
        if trace.get("base") is not None:
            trace["base"] = [moved(v) for v in trace["base"]]
            trace[name] = [None if v is None else v * kind.factor for v in values]
    else:
        trace[name] = [moved(v) for v in values]
    bars = trace.get(f"error_{name}")
    if bars:
        for key in ("array", "arrayminus"):
            if bars.get(key) is not None:
                bars[key] = [None if v is None else v * kind.factor for v in bars[key]]


def _columns(trace: dict[str, Any], kind: Kind, count: int) -> None:
    rows = [row for row in trace.get("customdata") or () if isinstance(row, list)]
    for row in rows:
        row[:count] = [None if v is None else kind.value(v, "us") for v in row[:count]]
