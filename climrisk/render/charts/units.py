"""A figure in another unit and with other words."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from plotly.graph_objects import Figure

_HELD = re.compile(r"%\{(customdata\[\d+\]|y|x):([^}]*)\} °C")
_SPAN = re.compile(
    r"%\{(customdata\[\d+\]):([^}]*)\} to(?= %\{customdata\[\d+\]:[^}]*\} °C)"
)
_DIFF = re.compile(r"%\{(x|y):([^}]*)\} K\b")


def reworded(
    figure: Figure, words: Callable[[str], str], *, fahrenheit: bool
) -> Figure:
    """Return a copy of a figure with other words, in °F or in °C.

    An axis is of temperatures when its title says °C, and of differences when its ticks
    end in K.
    """
    import plotly.graph_objects as go

    held = figure.to_plotly_json()
    layout = held["layout"]
    for name in ("x", "y"):
        if fahrenheit:
            _axis(held, name)
        else:
            _in_degrees(held, name)
    for note in layout.get("annotations") or ():
        note["text"] = words(str(note["text"]))
    _axis_words(layout, words, fahrenheit=fahrenheit)
    for trace in held["data"]:
        if isinstance(trace.get("hovertemplate"), str):
            trace["hovertemplate"] = words(trace["hovertemplate"])
        if isinstance(trace.get("text"), list):
            trace["text"] = [words(str(t)) for t in trace["text"]]
    return go.Figure(held)


def _axis_words(
    layout: dict[str, Any], words: Callable[[str], str], *, fahrenheit: bool
) -> None:
    degrees = "°F" if fahrenheit else "°C"
    for name in ("xaxis", "xaxis2", "yaxis"):
        axis = layout.get(name) or {}
        if axis.get("ticktext"):
            axis["ticktext"] = [words(str(text)) for text in axis["ticktext"]]
        title = axis.get("title") or {}
        if title.get("text"):
            text = words(title["text"]).replace("°C", degrees)
            title["text"] = re.sub(r", K\b", f", {degrees}", text)


def _in_degrees(held: dict[str, Any], name: str) -> None:
    """Name differences of an axis in °C."""
    axis = held["layout"].get(f"{name}axis") or {}
    if axis.get("ticksuffix") == " K":
        axis["ticksuffix"] = " °C"
        for trace in held["data"]:
            template = trace.get("hovertemplate")
            if isinstance(template, str):
                trace["hovertemplate"] = _DIFF.sub(r"%{\1:\2} °C", template)


def in_kelvin(figure: Figure) -> bool:
    """Whether an axis shows differences, which are stored in K."""
    return any(a.ticksuffix == " K" for a in (figure.layout.xaxis, figure.layout.yaxis))


def _axis(held: dict[str, Any], name: str) -> None:
    axis = held["layout"].get(f"{name}axis") or {}
    title = str((axis.get("title") or {}).get("text") or "")
    absolute = bool(re.search(r"(?<!\d )°C", title))
    if not absolute and axis.get("ticksuffix") != " K":
        return
    shift = 32.0 if absolute else 0.0

    def moved(value: Any) -> Any:
        return value if value is None or isinstance(value, str) else value * 1.8 + shift

    if axis.get("range"):
        axis["range"] = [moved(v) for v in axis["range"]]
    if axis.get("ticksuffix"):
        axis["ticksuffix"] = " °F"
    axis.pop("dtick", None)
    for trace in held["data"]:
        _trace(trace, name, moved)
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


def _trace(trace: dict[str, Any], name: str, moved: Callable[[Any], Any]) -> None:
    values = list(trace.get(name) or ())
    if trace.get("type") == "bar":
        # A bar stands on its base, and its length is a difference.
        if trace.get("base") is not None:
            trace["base"] = [moved(v) for v in trace["base"]]
            trace[name] = [None if v is None else v * 1.8 for v in values]
    else:
        trace[name] = [moved(v) for v in values]
    bars = trace.get(f"error_{name}")
    if bars:
        for key in ("array", "arrayminus"):
            if bars.get(key) is not None:
                bars[key] = [None if v is None else v * 1.8 for v in bars[key]]
    template = trace.get("hovertemplate")
    if not isinstance(template, str):
        return
    named = {m[1] for m in _HELD.finditer(template)}
    named |= {m[1] for m in _SPAN.finditer(template)}
    for field in named:
        if field.startswith("customdata"):
            _column(trace, int(field[11:-1]))
    template = _HELD.sub(r"%{\1:\2} °F", template)
    trace["hovertemplate"] = _DIFF.sub(r"%{\1:\2} °F", template)


def _column(trace: dict[str, Any], index: int) -> None:
    rows = [list(row) for row in trace["customdata"]]
    for row in rows:
        if row[index] is not None:
            row[index] = row[index] * 1.8 + 32
    trace["customdata"] = rows
