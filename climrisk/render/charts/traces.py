"""Traces of a figure as SVG: points, lines, bands and bars, with what each says."""

from __future__ import annotations

import re
from datetime import datetime
from html import escape
from typing import Any

from climrisk.render.charts.pen import CLASSES, Panel, line_path, paint, text_at
from climrisk.render.charts.scales import Scale
from climrisk.render.charts.shapes import mark, pattern

_FIELD = re.compile(r"%\{([a-z]+)(?:\[(\d+)\])?(?::([^}|]*))?(?:\|([^}]*))?\}")


def draw_trace(d: Panel, trace: dict[str, Any], before: dict[str, Any] | None) -> None:
    """Draw a trace; the one before it is the other edge of a band.

    Raises
    ------
    ValueError
        A kind of trace that is not known here.
    """
    kind = trace.get("type", "scatter")
    if kind == "bar":
        _bars(d, trace)
    elif kind == "scatter":
        _scatter(d, trace, before)
    else:
        msg = f"no SVG for a trace of type {kind}"
        raise ValueError(msg)


def _scatter(d: Panel, trace: dict[str, Any], before: dict[str, Any] | None) -> None:
    points = _points(d, trace)
    mode = trace.get("mode") or "lines"
    if trace.get("fill") == "tonexty" and before is not None:
        edge = [p for p in points if p] + [p for p in _points(d, before) if p][::-1]
        path = "M" + "L".join(f"{x:.1f} {y:.1f}" for x, y in edge) + "Z"
        d.add(f'<path{paint(trace.get("fillcolor"))} d="{path}"/>')
    if trace.get("fill") == "toself":
        path = "M" + "L".join(f"{p[0]:.1f} {p[1]:.1f}" for p in points if p) + "Z"
        d.add(f'<path{paint(trace.get("fillcolor"))} d="{path}"/>')
    line = trace.get("line") or {}
    if "lines" in mode and line.get("width", 2):
        d.add(line_path(points, line))
    _error_bars(d, trace)
    if "markers" in mode:
        for i, point in enumerate(points):
            if point:
                d.add(mark(trace, i, point, CLASSES, _title(trace, i)))
    if "text" in mode:
        _point_words(d, trace, points)


def _points(d: Panel, trace: dict[str, Any]) -> list[tuple[float, float] | None]:
    return [
        None if x is None or y is None else (d.x.px(x), d.y.px(y))
        for x, y in zip(as_list(trace.get("x")), as_list(trace.get("y")), strict=True)
    ]


def _error_bars(d: Panel, trace: dict[str, Any]) -> None:
    for which in ("x", "y"):
        bars = trace.get(f"error_{which}")
        if not bars or bars.get("array") is None:
            continue
        more = as_list(bars["array"])
        less = as_list(bars.get("arrayminus")) or more
        line = {"color": bars.get("color"), "width": bars.get("thickness", 2)}
        xs, ys = as_list(trace["x"]), as_list(trace["y"])
        for x, y, a, b in zip(xs, ys, more, less, strict=True):
            if x is None or y is None:
                continue
            if which == "x":
                ends = [(d.x.px(x - b), d.y.px(y)), (d.x.px(x + a), d.y.px(y))]
            else:
                ends = [(d.x.px(x), d.y.px(y - b)), (d.x.px(x), d.y.px(y + a))]
            d.add(line_path(list(ends), line))


def _point_words(
    d: Panel, trace: dict[str, Any], points: list[tuple[float, float] | None]
) -> None:
    words = trace.get("text")
    texts = [words] * len(points) if isinstance(words, str) else as_list(words)
    place = str(trace.get("textposition") or "middle center")
    font = trace.get("textfont") or {}
    size = min(float(font.get("size") or d.font_px), d.font_px)
    for point, text in zip(points, texts, strict=True):
        if point is None or not text:
            continue
        anchor, dx = "middle", 0.0
        if "right" in place:
            anchor, dx = "start", 9.0
        elif "left" in place:
            anchor, dx = "end", -9.0
        vertical, dy = "middle", 0.0
        if "top" in place:
            vertical, dy = "bottom", -8.0
        elif "bottom" in place:
            vertical, dy = "top", 8.0
        x, y = point
        d.add(
            text_at(
                str(text), x + dx, y + dy, anchor, vertical, size, font.get("color")
            )
        )


def _bars(d: Panel, trace: dict[str, Any]) -> None:
    flat = trace.get("orientation") == "h"
    ends, places = (
        (as_list(trace["x"]), as_list(trace["y"]))
        if flat
        else (as_list(trace["y"]), as_list(trace["x"]))
    )
    along, across = (d.x, d.y) if flat else (d.y, d.x)
    bases = bases_of(trace, len(ends))
    wide = trace.get("width")
    marker = trace.get("marker") or {}
    colors = marker.get("color")
    for i, (end, place, base) in enumerate(zip(ends, places, bases, strict=True)):
        if end is None:
            continue
        half = _bar_width(wide, i, across) / 2
        middle = across.px(place)
        a, b = sorted((along.px(base), along.px(base + end)))
        box = (a, middle - half, b - a, 2 * half)
        if not flat:
            box = (middle - half, a, 2 * half, b - a)
        color = colors if isinstance(colors, str) else colors[i] if colors else None
        d.add(_bar(d, box, color, marker, _title(trace, i)))
        word = as_list(trace.get("text"))[i] if trace.get("text") is not None else ""
        if word and not flat and d.x.px_per_unit() >= 14:
            d.add(text_at(str(word), middle, a - 4, "middle", "bottom", 11))


def _bar_width(wide: Any, i: int, across: Scale) -> float:
    if isinstance(wide, list | tuple):
        wide = wide[i]
    unit = 0.8 if wide is None else float(wide)
    if across.kind == "date" and wide is not None:
        unit /= 86_400_000
    return max(unit * across.px_per_unit(), 0.8)


def _bar(
    d: Panel,
    box: tuple[float, float, float, float],
    color: str | None,
    marker: dict[str, Any],
    title: str,
) -> str:
    x, y, w, h = box
    shape = (marker.get("pattern") or {}).get("shape") or ""
    shape = shape if isinstance(shape, str) else ""
    rectangle = f'x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{max(h, 0.8):.1f}"'
    edge = (marker.get("line") or {}).get("color")
    known = CLASSES.get((color or "").lower(), "b2")
    stroke = f" s-{CLASSES[edge]}" if edge in CLASSES else ""
    out = f'<rect class="bar f-{known}{stroke}" {rectangle}>{title}</rect>'
    if shape:
        dark = known in ("b2", "b3")
        name = f"{d.id}{'xdsv'['./-|'.index(shape)]}{int(dark)}"
        d.defs.setdefault(name, pattern(name, shape, dark=dark))
        out += f'<rect class="over" fill="url(#{name})" {rectangle}/>'
    return out


def _title(trace: dict[str, Any], i: int) -> str:
    """Return what the pointer shows at a point, as the figure says it."""
    template = trace.get("hovertemplate")
    if not isinstance(template, str) or trace.get("hoverinfo") == "skip":
        return ""

    def value(match: re.Match[str]) -> str:
        name, index, spec, days = match.groups()
        held = trace.get(name)
        if held is None or isinstance(held, str):
            return str(held or "")
        one = held[i]
        if index is not None and isinstance(one, list | tuple):
            one = one[int(index)]
        if days:
            return f"{datetime.fromisoformat(str(one)):{days}}"
        if spec and isinstance(one, int | float):
            return f"{one:{spec}}"
        return "?" if one is None else str(one).replace("<br>", ", ")

    words = _FIELD.sub(value, template.split("<extra>")[0])
    return f"<title>{escape(words)}</title>"


def as_list(values: Any) -> list[Any]:
    """Return values of a trace as a list; none as an empty one."""
    if values is None:
        return []
    if isinstance(values, dict):
        msg = "packed arrays are not drawn; hand over lists"
        raise ValueError(msg)
    return list(values)


def bases_of(trace: dict[str, Any], count: int) -> list[float]:
    """Return where each bar of a trace stands."""
    base = trace.get("base")
    if base is None:
        return [0.0] * count
    return [base] * count if isinstance(base, int | float) else list(base)
