"""The pen of a drawing: lines, text and the classes that colors become."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from html import escape, unescape
from typing import Any

from climrisk.render.charts.scales import Scale

#: Classes of the colors of `style`, by their value there.
CLASSES = {
    "#17212b": "ink",
    "#ffffff": "paper",
    "#e3e7ea": "grid",
    "#dbe8f2": "b0",
    "#8fb8d6": "b1",
    "#3f7fae": "b2",
    "#123f66": "b3",
    "#b4540a": "limit",
    "#5b6770": "muted",
    "#f3efe8": "sand",
}
_DASHES = {"dash": "7 5", "dot": "2 4", "dashdot": "7 4 2 4"}


@dataclass
class Panel:
    """A panel: what is drawn so far, and how values become places.

    `paper_x` and `paper_y` are the shares of all panels together, which also share
    `parts` and `defs`.
    """

    id: str
    x: Scale
    y: Scale
    font_px: float
    paper_x: Scale
    paper_y: Scale
    parts: list[str] = field(default_factory=list)
    defs: dict[str, str] = field(default_factory=dict)

    def add(self, *parts: str) -> None:
        """Draw over what is there."""
        self.parts.extend(parts)


def paint(color: str | None, *, line: bool = False) -> str:
    """Return the class, or the attribute, that paints in a color."""
    if color is None or color in ("rgba(0,0,0,0)", "transparent"):
        return "" if line else ' fill="none"'
    known = CLASSES.get(color.lower())
    what = "stroke" if line else "fill"
    if known is None:
        return f' {what}="{escape(color)}"'
    return f' class="{"s" if line else "f"}-{known}"'


def line_path(points: list[tuple[float, float] | None], line: dict[str, Any]) -> str:
    """Return a line through points, broken where one is None."""
    path, pen = "", "M"
    for point in points:
        if point is None:
            pen = "M"
            continue
        path += f"{pen}{point[0]:.1f} {point[1]:.1f}"
        pen = "L"
    dash = _DASHES.get(line.get("dash") or "", "")
    dashed = f' stroke-dasharray="{dash}"' if dash else ""
    return (
        f'<path{paint(line.get("color"), line=True)} fill="none" stroke-width='
        f'"{line.get("width", 2):g}" stroke-linejoin="round"{dashed} d="{path}"/>'
    )


def text_lines(text: str) -> list[tuple[str, bool]]:
    """Return the lines of a text, each with whether it is bold."""
    out = []
    for part in re.split(r"<br ?/?>", text):
        bold = part.startswith("<b>")
        plain = unescape(re.sub(r"</?b>", "", part))
        out.append((re.sub(r"(?<![\w.])-(?=\d)", "−", plain), bold))
    return out


def text_at(
    text: str,
    x: float,
    y: float,
    anchor: str,
    vertical: str,
    size: float,
    color: str | None = None,
) -> str:
    """Return a text of one or more lines, escaped."""
    lines = text_lines(text)
    step = size * 1.22
    first = {"top": 0.95 * size, "middle": 0.36 * size, "bottom": -0.2 * size}
    shift = {"top": 0.0, "middle": (len(lines) - 1) / 2, "bottom": len(lines) - 1.0}
    start = y + first.get(vertical, 0.0) - shift.get(vertical, 0.0) * step
    name = CLASSES.get((color or "#17212b").lower(), "ink")
    heavy = ("", ' font-weight="700"')
    spans = "".join(
        f'<tspan x="{x:.1f}" y="{start + i * step:.1f}"{heavy[bold]}>'
        f"{escape(line)}</tspan>"
        for i, (line, bold) in enumerate(lines)
    )
    return (
        f'<text class="f-{name}" text-anchor="{anchor}" font-size="{size:g}">'
        f"{spans}</text>"
    )
