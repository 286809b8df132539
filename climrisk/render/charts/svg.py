"""A figure as SVG without any script: shown at once, printed, in light and in dark.

Only what our figures use is known: scatter and bar traces, lines and rectangles across,
and notes. Colors become classes, so that a style sheet decides how they look.
"""

from __future__ import annotations

from html import escape
from typing import Any

from climrisk.render.charts.chart import Chart
from climrisk.render.charts.pen import Panel, line_path, paint, text_at, text_lines
from climrisk.render.charts.phone_layout import slim
from climrisk.render.charts.scales import Scale, scale, ticks
from climrisk.render.charts.traces import as_list, bases_of, draw_trace

WIDE_PX, NARROW_PX = 900, 340
_SHIFT = {"left": "start", "center": "middle", "right": "end"}


def svg(figure: Chart, picture_id: str, *, narrow: bool = False) -> str:
    """Return a figure as an SVG element.

    Parameters
    ----------
    figure : Chart
        Of our own making.
    picture_id : str
        Made of letters and digits; begins the names of patterns.
    narrow : bool
        For a phone: 340 pixels wide with fewer words, else 900.

    Raises
    ------
    ValueError
        A kind of trace that is not known here.
    """
    layout = figure.layout
    width = NARROW_PX if narrow else WIDE_PX
    if narrow:
        layout = slim(layout)
    height = float(layout.get("height") or 400)
    data = [t for t in figure.traces if t.get("visible") is not False]
    name = picture_id + ("n" if narrow else "w")
    panels = _panels(data, layout, width, height, name)
    first = next(iter(panels.values()))
    shapes = layout.get("shapes") or ()
    _shapes(panels, [s for s in shapes if s.get("layer") == "below"])
    for (x, y), panel in panels.items():
        axes = (layout.get(f"{k[0]}axis{k[1:]}") or {} for k in (x, y))
        _axes(panel, *axes, narrow=narrow)
    for key, panel in panels.items():
        mine = [t for t in data if _panel_of(t) == key]
        panel.add(f'<g clip-path="url(#{_clip(panel)})">')
        for i, trace in enumerate(mine):
            draw_trace(panel, trace, mine[i - 1] if i else None)
        panel.add("</g>")
    _shapes(panels, [s for s in shapes if s.get("layer") != "below"])
    for note in layout.get("annotations") or ():
        _note(_at(panels, note), note)
    defs = f"<defs>{''.join(first.defs.values())}</defs>"
    above = _blank_above(layout, data, first)
    return (
        f'<svg class="{"narrow" if narrow else "wide"}" viewBox="0 {above:g} {width} '
        f'{height - above:g}" font-size="{first.font_px:g}" aria-hidden="true" '
        f'focusable="false">{defs}{"".join(first.parts)}</svg>'
    )


Panels = dict[tuple[str, str], Panel]


def _blank_above(
    layout: dict[str, Any], data: list[dict[str, Any]], panel: Panel
) -> float:
    """Return how much room over the panels nothing is drawn in. [px]"""
    titled = any(
        ((layout[name] or {}).get("title") or {}).get("text")
        for name in layout
        if name.startswith("yaxis")
    )
    # Numbers of bars stand above them, notes may stand above the panel.
    if titled or any(t.get("type") == "bar" for t in data):
        return 0.0
    top = panel.paper_y.high_px
    above = [n for n in layout.get("annotations") or () if _is_above(n)]
    return 0.0 if above else max(0.0, top - _OUT_PX - panel.font_px)


def _is_above(note: dict[str, Any]) -> bool:
    return note.get("yref") == "paper" and float(note.get("y") or 0.0) >= 1.0


def _panel_of(trace: dict[str, Any]) -> tuple[str, str]:
    return trace.get("xaxis") or "x", trace.get("yaxis") or "y"


def _panels(
    data: list[dict[str, Any]],
    layout: dict[str, Any],
    width: float,
    height: float,
    name: str,
) -> Panels:
    """Return the panels of a figure, each with its two scales."""
    margin = layout.get("margin") or {}
    font_px = 11.0 if width == NARROW_PX else 13.0
    xs, ys = _values(data)
    beside = _room(layout.get("yaxis") or {}, ys, font_px)
    left = max(float(margin.get("l", 50)), beside)
    right = width - float(margin.get("r", 20))
    below = max(float(margin.get("b", 40)), _turned_room(layout, xs, font_px))
    top, bottom = max(float(margin.get("t", 20)), 30.0), height - below
    left = max(left, _ticks_room(layout, data, (top, bottom), font_px))
    paper_x = Scale("linear", 0.0, 1.0, left, right)
    paper_y = Scale("linear", 0.0, 1.0, bottom, top)
    parts: list[str] = []
    defs: dict[str, str] = {}
    out: Panels = {}
    for key in dict.fromkeys([_panel_of(t) for t in data] or [("x", "y")]):
        mine = _values([t for t in data if _panel_of(t) == key])
        x, y = (
            _scale(layout.get(f"{k[0]}axis{k[1:]}") or {}, values, paper)
            for k, values, paper in zip(key, mine, (paper_x, paper_y), strict=True)
        )
        panel = Panel(name, x, y, font_px, paper_x, paper_y, parts, defs)
        out[key] = panel
        bars = any(t.get("type") == "bar" for t in data)
        defs[_clip(panel)] = _clip_path(panel, 24.0 if bars else _OUT_PX)
    return out


def _scale(axis: dict[str, Any], values: list[Any], paper: Scale) -> Scale:
    low, high = axis.get("domain") or (0.0, 1.0)
    return scale(axis, values, paper.px(low), paper.px(high))


#: Marks may stand out of their panel by so much.
_OUT_PX = 7.0


def _clip(panel: Panel) -> str:
    return f"{panel.id}c{panel.x.low_px:.0f}-{panel.y.low_px:.0f}"


def _clip_path(panel: Panel, above: float) -> str:
    """Return what a panel shows; numbers of bars stand above it."""
    left, right = sorted((panel.x.low_px, panel.x.high_px))
    top, bottom = sorted((panel.y.low_px, panel.y.high_px))
    return (
        f'<clipPath id="{_clip(panel)}"><rect x="{left - _OUT_PX:.1f}" '
        f'y="{top - above:.1f}" width="{right - left + 2 * _OUT_PX:.1f}" '
        f'height="{bottom - top + above + _OUT_PX:.1f}"/></clipPath>'
    )


def _at(panels: Panels, part: dict[str, Any]) -> Panel:
    """Return the panel that a shape or note belongs to."""
    refs = [str(part.get(f"{k}ref") or k).split(" ")[0] for k in ("x", "y")]
    for (x, y), panel in panels.items():
        if refs[0] in (x, "paper") and refs[1] in (y, "paper"):
            return panel
    return next(iter(panels.values()))


def _room(axis: dict[str, Any], values: list[Any], font_px: float) -> float:
    """Return how much room the words beside a picture take."""
    words = axis.get("ticktext") or (values if axis.get("type") == "category" else ())
    lines = [part for v in words for part in text_lines(str(v))]
    longest = max((len(text) for text, _ in lines), default=0)
    return longest * font_px * 0.56 + 14 if longest else 0.0


def _ticks_room(
    layout: dict[str, Any],
    data: list[dict[str, Any]],
    ends: tuple[float, float],
    font_px: float,
) -> float:
    """Return how much room the numbers beside a picture take, with their unit."""
    longest = 0
    for name in (n for n in layout if n.startswith("yaxis")):
        axis = layout[name] or {}
        key = "y" + name.removeprefix("yaxis")
        values = _values([t for t in data if _panel_of(t)[1] == key])[1]
        if axis.get("showticklabels", True) and axis.get("tickvals") is None and values:
            at = _scale(axis, values, Scale("linear", 0.0, 1.0, ends[1], ends[0]))
            if at.kind == "linear":
                texts = [text for _, text in ticks(axis, at, _rows_of(at))]
                longest = max([longest, *map(len, texts)])
    return longest * font_px * 0.56 + 12


def _rows_of(y: Scale) -> int:
    """Return how many ticks an axis has room for."""
    return max(3, int(abs(y.high_px - y.low_px) / (22 if y.kind == "category" else 46)))


def _turned_room(layout: dict[str, Any], values: list[Any], font_px: float) -> float:
    """Return how much room words below a picture take that stand on their heads."""
    axis = layout.get("xaxis") or {}
    if axis.get("type") != "category" or not axis.get("tickangle"):
        return 0.0
    return max((len(str(v)) for v in values), default=0) * font_px * 0.62 + 16


def _values(data: list[dict[str, Any]]) -> tuple[list[Any], list[Any]]:
    """Return all that stands along either axis; bars stand on their base."""
    along: dict[str, list[Any]] = {"x": [], "y": []}
    for trace in data:
        tall = "x" if trace.get("orientation") == "h" else "y"
        flat = "y" if tall == "x" else "x"
        along[flat] += list(as_list(trace.get(flat)))
        values = as_list(trace.get(tall))
        if trace.get("type") == "bar":
            bases = bases_of(trace, len(values))
            along[tall] += bases
            values = [
                None if v is None else b + v for v, b in zip(values, bases, strict=True)
            ]
        along[tall] += list(values)
        for which in ("x", "y"):
            along[which] += _error_ends(trace, which)
    return along["x"], along["y"]


def _error_ends(trace: dict[str, Any], which: str) -> list[float]:
    bars = trace.get(f"error_{which}")
    if not bars or bars.get("array") is None:
        return []
    values, more = as_list(trace.get(which)), as_list(bars["array"])
    less = as_list(bars.get("arrayminus")) or more
    out = []
    for v, a, b in zip(values, more, less, strict=True):
        if v is not None:
            out += [v + (a or 0), v - (b or 0)]
    return out


def _axes(
    d: Panel, x_axis: dict[str, Any], y_axis: dict[str, Any], *, narrow: bool
) -> None:
    left, right = sorted((d.x.low_px, d.x.high_px))
    top, bottom = sorted((d.y.low_px, d.y.high_px))
    for value, text in ticks(y_axis, d.y, _rows_of(d.y)):
        at = d.y.px(value)
        if y_axis.get("showgrid", True):
            d.add(f'<path class="s-grid" d="M{left:.1f} {at:.1f}H{right:.1f}"/>')
        if y_axis.get("showticklabels", True):
            d.add(text_at(text, left - 7, at, "end", "middle", d.font_px))
    wide_word = 30 if d.x.kind == "date" else 44 if narrow else 60
    turned = d.x.kind == "category" and (x_axis.get("tickangle") or 0) != 0
    columns = max(3, int((right - left) / (16 if turned else wide_word)))
    if narrow and d.x.kind == "date":
        columns = max(3, int((right - left) / 25))
    for value, text in ticks(x_axis, d.x, columns):
        at = d.x.px(value)
        if x_axis.get("showgrid"):
            d.add(f'<path class="s-grid" d="M{at:.1f} {top:.1f}V{bottom:.1f}"/>')
        if turned:
            d.add(
                f'<text class="f-ink" text-anchor="end" transform="translate('
                f'{at + d.font_px * 0.35:.1f} {bottom + 7:.1f}) rotate(-90)">'
                f"{escape(text)}</text>"
            )
        else:
            # A number at the left edge is not cut off.
            inside = max(at, 0.3 * d.font_px * len(text.split("<br>")[0]) + 1)
            d.add(text_at(text, inside, bottom + 8, "middle", "top", d.font_px))
    zero = d.y.kind == "linear" and min(d.y.start, d.y.end) <= 0
    floor = d.y.px(0) if zero and y_axis.get("zeroline") else bottom
    d.add(f'<path class="s-muted" d="M{left:.1f} {floor:.1f}H{right:.1f}"/>')
    _titles(d, x_axis, y_axis)


def _titles(d: Panel, x_axis: dict[str, Any], y_axis: dict[str, Any]) -> None:
    below = (x_axis.get("title") or {}).get("text")
    if below:
        at = (d.x.low_px + d.x.high_px) / 2
        lines = _wrapped(below, (d.x.high_px - d.x.low_px + 50) / (d.font_px * 0.52))
        d.add(
            text_at("<br>".join(lines), at, d.y.low_px + 30, "middle", "top", d.font_px)
        )
    beside = (y_axis.get("title") or {}).get("text")
    if beside:
        # Read without turning the head: at the top, in the left margin.
        d.add(text_at(beside, 4, 4, "start", "top", d.font_px))


def _wrapped(text: str, most: float) -> list[str]:
    lines = [""]
    for word in text.split():
        if lines[-1] and len(lines[-1]) + len(word) + 1 > most:
            lines.append(word)
        else:
            lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _shapes(panels: Panels, shapes: list[dict[str, Any]]) -> None:
    for shape in shapes:
        d = _at(panels, shape)
        x0, x1 = (_place(d, "x", shape[k], shape.get("xref")) for k in ("x0", "x1"))
        y0, y1 = (_place(d, "y", shape[k], shape.get("yref")) for k in ("y0", "y1"))
        line = shape.get("line") or {}
        if shape.get("type") == "line":
            d.add(line_path([(x0, y0), (x1, y1)], line))
            continue
        (a, b), (c, e) = sorted((x0, x1)), sorted((y0, y1))
        d.add(
            f'<rect{paint(shape.get("fillcolor"))} x="{a:.1f}" y="{c:.1f}" '
            f'width="{b - a:.1f}" height="{e - c:.1f}"/>'
        )


def _place(d: Panel, axis: str, value: Any, ref: str | None) -> float:
    at, paper = (d.x, d.paper_x) if axis == "x" else (d.y, d.paper_y)
    if ref == "paper":
        return paper.px(float(value))
    return at.paper(float(value)) if ref and "domain" in ref else at.px(value)


def _note(d: Panel, note: dict[str, Any]) -> None:
    x = _place(d, "x", note["x"], note.get("xref"))
    y = _place(d, "y", note["y"], note.get("yref"))
    font = note.get("font") or {}
    if note.get("showarrow", True):
        end = x, y
        x = _arrow(d, "x", note, x)
        y = _arrow(d, "y", note, y)
        thread = {"color": note.get("arrowcolor", "#5b6770"), "width": 1}
        d.add(line_path([end, (x, y)], thread))
    x += float(note.get("xshift") or 0)
    y -= float(note.get("yshift") or 0)
    anchor = _SHIFT.get(note.get("xanchor") or "center", "middle")
    vertical = note.get("yanchor") or "middle"
    size = min(float(font.get("size") or d.font_px), d.font_px)
    # On a phone there is no room for a name that would cover the words beside.
    long = max(len(text) for text, _ in text_lines(str(note["text"]))) * size * 0.52
    beside = "x" in str(note.get("xref") or "x") and anchor == "end"
    if _width(d) < NARROW_PX and beside and x - long < d.x.low_px:
        return
    d.add(text_at(str(note["text"]), x, y, anchor, vertical, size, font.get("color")))


def _width(d: Panel) -> float:
    """Return how wide all panels together are."""
    return abs(d.paper_x.high_px - d.paper_x.low_px)


def _arrow(d: Panel, axis: str, note: dict[str, Any], from_px: float) -> float:
    ref = note.get(f"a{axis}ref")
    if ref and ref != "pixel":
        return _place(d, axis, note[f"a{axis}"], ref)
    return from_px + float(note.get(f"a{axis}") or 0)
