"""A figure's layout for a phone: smaller margins, and only words that have room."""

from __future__ import annotations

from typing import Any

from climrisk.render.charts.scales import day_number

_APART_DAYS = 24
_TALL_PX = 480.0


def slim(layout: dict[str, Any]) -> dict[str, Any]:
    """Return a layout with fewer words; the caption and the table have them all."""
    out = dict(layout)
    margin = dict(layout.get("margin") or {})
    margin["l"] = min(float(margin.get("l", 50)), 34.0)
    margin["r"] = min(float(margin.get("r", 20)), 58.0)
    out["margin"] = margin
    # A tall picture has many rows, which need their room on a phone too.
    height = float(layout.get("height") or 400)
    out["height"] = height if height > _TALL_PX else min(height, 400.0)
    notes = [n for n in layout.get("annotations") or () if n.get("name") != "hint"]
    out["annotations"] = _apart(notes)
    return out


def _apart(notes: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Keep, of the named coldest nights, those that have room, the coldest first."""
    named = sorted(
        (n for n in notes if str(n.get("name", "")).startswith("worst")),
        key=lambda n: str(n["name"]),
    )
    placed: list[dict[str, Any]] = []
    for note in named:
        at = day_number(note["ax"])
        if all(abs(at - day_number(other["ax"])) > _APART_DAYS for other in placed):
            placed.append(note)
    return [n for n in notes if n not in named or n in placed]
