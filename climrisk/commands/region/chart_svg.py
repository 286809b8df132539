"""The same maps as SVG without any script: for first sight, print and a phone."""

from __future__ import annotations

import base64
import struct
import zlib
from html import escape

import numpy as np
from numpy.typing import NDArray

from climrisk.commands.region.chart import Panels, edges_of
from climrisk.render.charts.style import INK, MUTED

_WIDE_PX, _NARROW_PX = 900, 340


def maps_svg(panels: Panels) -> str:
    """Return the maps as two SVG elements, for a wide place and for a phone."""
    shown = panels.thinned
    return _drawn(shown, narrow=False) + _drawn(shown, narrow=True)


def _drawn(shown: Panels, *, narrow: bool) -> str:
    width = _NARROW_PX if narrow else _WIDE_PX
    columns = shown.columns(narrow=narrow)
    side = (width - 44) / columns - 16
    tall = side * shown.height_px / 330
    parts = []
    for i, title in enumerate(shown.titles):
        row, column = divmod(i, columns)
        x, y = 40 + column * (side + 16), 26 + row * (tall + 56)
        parts.append(_panel(shown, i, title, (x, y, side, tall), ticks=column == 0))
    rows = -(-len(shown.titles) // columns)
    below = 26 + rows * (tall + 56)
    legend, height = _legend(shown, below, width, narrow=narrow)
    kind = "narrow" if narrow else "wide"
    return (
        f'<svg class="{kind}" viewBox="0 0 {width} {height:.0f}" font-size="12" '
        f'aria-hidden="true" focusable="false">{"".join(parts)}{legend}</svg>'
    )


def _panel(
    shown: Panels,
    i: int,
    title: str,
    box: tuple[float, float, float, float],
    *,
    ticks: bool,
) -> str:
    x, y, wide, tall = box
    west, east = edges_of(shown.longitude)
    south, north = edges_of(shown.latitude)
    picture = base64.b64encode(_png(shown, i)).decode()
    out = [
        _text(x, y - 8, title, weight="bold"),
        f'<image x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.1f}" '
        f'preserveAspectRatio="none" style="image-rendering:pixelated" '
        f'href="data:image/png;base64,{picture}"/>',
        f'<rect x="{x:.1f}" y="{y:.1f}" width="{wide:.1f}" height="{tall:.1f}" '
        f'fill="none" stroke="{MUTED}"/>',
    ]
    for value in _ticks(west, east):
        at = x + wide * (value - west) / (east - west)
        out.append(_text(at, y + tall + 15, f"{value:g}°", anchor="middle", size=11))
    if ticks:
        for value in _ticks(south, north):
            at = y + tall * (north - value) / (north - south)
            out.append(_text(x - 5, at + 4, f"{value:g}°", anchor="end", size=11))
    for name, lat, lon in shown.marks:
        px = x + wide * (lon - west) / (east - west)
        py = y + tall * (north - lat) / (north - south)
        out.append(
            f'<circle cx="{px:.1f}" cy="{py:.1f}" r="8.5" fill="#fff" '
            f'stroke="{INK}" stroke-width="1.5"/><text x="{px:.1f}" '
            f'y="{py + 4:.1f}" text-anchor="middle" font-size="11" '
            f'fill="{INK}">{escape(name)}</text>'
        )
    return "".join(out)


def _legend(
    shown: Panels, top: float, width: float, *, narrow: bool
) -> tuple[str, float]:
    labels = shown.scale.legend
    across = 2 if narrow else len(labels)
    step = (width - 44) / across
    out = [_text(40, top + 4, shown.scale.words)]
    for k, (shade, label) in enumerate(labels):
        row, column = divmod(k, across)
        x, y = 40 + column * step, top + 14 + row * 38
        out.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{step - 8:.1f}" height="14" '
            f'fill="{shade}" stroke="{MUTED}"/>'
        )
        out.append(_text(x, y + 28, label, size=11))
    return "".join(out), top + 20 + 38 * -(-len(labels) // across)


def _ticks(low: float, high: float) -> NDArray[np.floating]:
    """Return three to six round values inside a range."""
    rough = (high - low) / 4
    power = 10.0 ** np.floor(np.log10(rough))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= rough)
    first, stop = np.ceil(low / step), high / step + 1e-9
    return np.asarray(np.round(np.arange(first, stop) * step, 6))


def _text(
    x: float, y: float, words: str, *, anchor: str = "start", size: int = 12,
    weight: str = "normal",
) -> str:  # fmt: skip
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" text-anchor="{anchor}" font-size="{size}" '
        f'font-weight="{weight}" fill="currentColor">{escape(words)}</text>'
    )


def _png(shown: Panels, i: int) -> bytes:
    """Return the classes of a map as a picture, a dot a cell, north up."""
    found = shown.scale.classes(shown.values[i])[::-1].astype(np.uint8)
    colors = bytes.fromhex("".join(shade[1:] for shade, _ in shown.scale.legend))
    rows, columns = found.shape
    lines = np.zeros((rows, columns + 1), np.uint8)  # a filter byte before each row
    lines[:, 1:] = found

    def chunk(kind: bytes, body: bytes) -> bytes:
        size, check = struct.pack(">I", len(body)), zlib.crc32(kind + body)
        return size + kind + body + struct.pack(">I", check)

    head = struct.pack(">IIBBBBB", columns, rows, 8, 3, 0, 0, 0)
    return b"".join(
        (
            b"\x89PNG\r\n\x1a\n",
            chunk(b"IHDR", head),
            chunk(b"PLTE", colors),
            chunk(b"IDAT", zlib.compress(lines.tobytes(), 9)),
            chunk(b"IEND", b""),
        )
    )
