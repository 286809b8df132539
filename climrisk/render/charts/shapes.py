"""Marks and patterns of a picture: the shapes that say what color says."""

from __future__ import annotations

import math
from typing import Any


def pattern(name: str, shape: str, *, dark: bool) -> str:
    """Return the definition of a pattern to lie over a bar."""
    ink = "s-paper" if dark else "s-b2"
    fill = "f-paper" if dark else "f-b2"
    body = {
        "/": f'<path class="{ink}" d="M-1 6L6 -1M0 -1"/>',
        "-": f'<path class="{ink}" d="M0 2.5H5"/>',
        "|": f'<path class="{ink}" d="M2.5 0V5"/>',
        ".": f'<circle class="{fill}" cx="2.5" cy="2.5" r="0.9"/>',
    }[shape]
    return (
        f'<pattern id="{name}" width="5" height="5" patternUnits="userSpaceOnUse">'
        f"{body}</pattern>"
    )


def mark(
    trace: dict[str, Any],
    i: int,
    at: tuple[float, float],
    classes: dict[str, str],
    title: str,
) -> str:
    """Return one marker: circle, square, diamond, triangle or dash."""
    marker = trace.get("marker") or {}
    symbol = str(_one(marker.get("symbol"), i) or "circle")
    half = float(_one(marker.get("size"), i) or 8) / 2
    line = marker.get("line") or {}
    color = str(_one(marker.get("color"), i) or "#3f7fae").lower()
    edge = str(_one(line.get("color"), i) or color).lower()
    width = float(_one(line.get("width"), i) or (2 if "open" in symbol else 0))
    fill = "none" if "open" in symbol else classes.get(color, "b2")
    stroke = classes.get(edge, "b3")
    x, y = at
    looks = f'class="f-{fill} s-{stroke}" stroke-width="{width:g}"'
    if symbol.startswith("line-ew"):
        width = float(_one(line.get("width"), i) or 2)
        return (
            f'<path class="s-{stroke}" stroke-width="{width:g}" '
            f'd="M{x - half:.1f} {y:.1f}h{2 * half:.1f}">{title}</path>'
        )
    if symbol.startswith("line-ns"):
        width = float(_one(line.get("width"), i) or 2)
        return (
            f'<path class="s-{stroke}" stroke-width="{width:g}" '
            f'd="M{x:.1f} {y - half:.1f}v{2 * half:.1f}">{title}</path>'
        )
    if symbol.startswith("circle"):
        return (
            f'<circle {looks} cx="{x:.1f}" cy="{y:.1f}" r="{half:g}">{title}</circle>'
        )
    corners = _corners(symbol.removesuffix("-open"))
    path = "M" + "L".join(f"{x + half * a:.1f} {y + half * b:.1f}" for a, b in corners)
    return f'<path {looks} d="{path}Z">{title}</path>'


def _corners(symbol: str) -> list[tuple[float, float]]:
    if symbol == "square":
        return [(-1, -1), (1, -1), (1, 1), (-1, 1)]
    if symbol == "diamond":
        return [(0, -1.3), (1.3, 0), (0, 1.3), (-1.3, 0)]
    turn = {"triangle-up": -90, "triangle-down": 90, "triangle-right": 0}.get(symbol)
    if turn is None:
        msg = f"no SVG for a marker {symbol}"
        raise ValueError(msg)
    angles = [math.radians(turn + a) for a in (0, 120, 240)]
    return [(1.2 * math.cos(a), 1.2 * math.sin(a)) for a in angles]


def _one(value: Any, i: int) -> Any:
    return value[i] if isinstance(value, list | tuple) else value
