"""Small drawings of kinds of spots, pots and media, to choose by."""

from __future__ import annotations

import math
import random
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

import numpy as np

WIDTH, HEIGHT = 120, 90
_MID_X = 60
#: A bed of grains lies in this frame.
_LEFT, _TOP, _RIGHT, _BOTTOM = 10, 8, 110, 82
#: How far grains lie apart, in their size: long ones cross each other.
_APART = {"strand": 0.3, "fiber": 0.2, "slab": 0.72}


@dataclass(frozen=True)
class Drawn:
    """A kind with its drawing.

    Parameters
    ----------
    key : str
        The name that is written in the home file.
    name : str
        As it is shown.
    choose : str
        What follows "Choose this if".
    svg : str
        The drawing as an SVG element; its colors are the style sheet's.
    value : float or None
        What is written, where that is a number.
    """

    key: str
    name: str
    choose: str
    svg: str
    value: float | None = None


@lru_cache(maxsize=8)
def drawn_kinds(table: str) -> dict[str, Drawn]:
    """Return the kinds of a table with their drawings.

    Parameters
    ----------
    table : {"spot", "pot", "medium", "eaves"}
    """
    text = resources.files("climrisk.render").joinpath("data/drawings.toml")
    rows = tomllib.loads(text.read_text("utf-8"))[table]
    return {
        key: Drawn(
            key, row["name"], row["choose"], _element(row, key), row.get("value")
        )
        for key, row in rows.items()
    }


def facing_svg(degrees: float) -> str:
    """Return a house seen from above whose open side looks in a direction.

    Parameters
    ----------
    degrees : float
        Clockwise from north, which is up.
    """
    rays = "M60 38V18M54 25l6-8 6 8"
    return _svg(
        f'<g transform="rotate({degrees:g} 60 47)">'
        f"{_path('wall', 'M40 47h40v18H40z')}{_path('pot', 'M56 38h8v8h-8z')}"
        f'<path class="sky" d="{rays}"/></g>'
        '<path class="thin" d="M60 88v-3M14 47h-4M106 47h4"/>'
        '<text class="north" x="60" y="11">N</text>'
    )


def _element(row: Mapping[str, Any], key: str) -> str:
    parts = []
    if "top" in row:
        parts.append(_leaves(_MID_X, float(row["top"]), 1.3))
    parts += [_path(*line) for line in row.get("lines", ())]
    if "bed" in row:
        parts.append(_bed(row["bed"], key))
    parts += [_plant(*plant) for plant in row.get("plants", ())]
    return _svg("".join(parts))


def _svg(body: str) -> str:
    return (
        f'<svg class="draw" viewBox="0 0 {WIDTH} {HEIGHT}" aria-hidden="true" '
        f'focusable="false"><g class="d">{body}</g></svg>'
    )


def _path(look: str, path: str) -> str:
    named = f' class="{look}"' if look else ""
    return f'<path{named} d="{path}"/>'


def _plant(x: float, foot: float, size: float) -> str:
    """Return a potted plant that stands at a place."""
    top, half = foot - 12 * size, 8 * size
    pot = f"M{x - half:.1f} {top:.1f}h{2 * half:.1f}l{-2.2 * size:.1f} {12 * size:.1f}"
    pot += f"h{-11.6 * size:.1f}z"
    return _leaves(x, top + size, size) + _path("pot", pot)


def _leaves(x: float, y: float, size: float) -> str:
    s = size
    path = "".join(
        f"M{x:.1f} {y:.1f}c{a * s:.1f} {-8 * s:.1f} {7 * a * s:.1f} {-11 * s:.1f} "
        f"{13 * a * s:.1f} {-8 * s:.1f}"
        for a in (-1, 1)
    )
    return _path("leaf", f"{path}M{x:.1f} {y:.1f}v{-15 * s:.1f}")


def _bed(bed: Mapping[str, Any], key: str) -> str:
    """Return grains side by side, the same for each name."""
    dice = random.Random(key)
    size, shape = float(bed["size"]), bed["shape"]
    places = _scattered(dice, int(bed["grains"]), size, _APART.get(shape, 0.86))
    grains = "".join(_grain(dice, shape, x, y, size) for x, y in places)
    dots = ""
    if bed.get("dots"):
        dots = _path(
            "thin",
            "".join(
                f"M{x + dice.uniform(-1, 1) * size / 4:.1f} "
                f"{y + dice.uniform(-1, 1) * size / 4:.1f}h.6"
                for x, y in places
            ),
        )
    frame = f"M{_LEFT} {_TOP}V{_BOTTOM}H{_RIGHT}V{_TOP}"
    return _path(f"grain {bed['look']}", grains) + dots + _path("", frame)


def _scattered(
    dice: random.Random, count: int, size: float, apart: float
) -> list[tuple[float, float]]:
    """Return places of grains, each where there is most room, `apart` sizes or more."""
    half = size / 2
    low_x, high_x = _LEFT + half + 1, _RIGHT - half - 1
    low_y, high_y = _TOP + half, _BOTTOM - half - 1
    out: list[tuple[float, float]] = []
    placed = np.empty((count, 2))
    for _ in range(count):
        tries = [
            (dice.uniform(low_x, high_x), dice.uniform(low_y, high_y))
            for _ in range(24)
        ]
        if not out:
            best, room = 0, math.inf
        else:
            apart_xy = np.array(tries)[:, None] - placed[: len(out)]
            rooms = np.square(apart_xy).sum(axis=2).min(axis=1)
            best = int(rooms.argmax())
            room = math.sqrt(rooms[best])
        if room > apart * size:
            placed[len(out)] = tries[best]
            out.append(tries[best])
    return out


def _grain(dice: random.Random, shape: str, x: float, y: float, size: float) -> str:
    turn, half = dice.uniform(0, math.pi), size / 2 * dice.uniform(0.82, 1.0)
    if shape == "round":
        return (
            f"M{x - half:.1f} {y:.1f}a{half:.1f} {half:.1f} 0 1 0 {2 * half:.1f} 0"
            f"a{half:.1f} {half:.1f} 0 1 0 {-2 * half:.1f} 0z"
        )
    if shape in ("strand", "fiber"):
        bend = dice.uniform(-0.6, 0.6) if shape == "fiber" else dice.uniform(-1.4, 1.4)
        ax, ay = math.cos(turn) * half, math.sin(turn) * half
        bx, by = -ay * bend, ax * bend
        return (
            f"M{_in_x(x - ax):.1f} {_in_y(y - ay):.1f}Q{_in_x(x + bx):.1f} "
            f"{_in_y(y + by):.1f} {_in_x(x + ax):.1f} {_in_y(y + ay):.1f}"
        )
    if shape == "slab":
        corners = [(-1.0, -0.45), (0.9, -0.55), (1.0, 0.4), (-0.85, 0.55)]
    elif shape == "cube":
        corners = [(-0.8, -0.8), (0.8, -0.8), (0.8, 0.8), (-0.8, 0.8)]
    else:
        count = {"rough": 7, "pebble": 8, "sharp": 4, "crumb": 4}[shape]
        least = {"rough": 0.7, "pebble": 0.9, "sharp": 0.75, "crumb": 0.7}[shape]
        corners = [
            (
                math.cos(2 * math.pi * i / count) * dice.uniform(least, 1),
                math.sin(2 * math.pi * i / count) * dice.uniform(least, 1),
            )
            for i in range(count)
        ]
    points = [
        (
            x + half * (a * math.cos(turn) - b * math.sin(turn)),
            y + half * (a * math.sin(turn) + b * math.cos(turn)),
        )
        for a, b in corners
    ]
    return "M" + "L".join(f"{a:.1f} {b:.1f}" for a, b in points) + "z"


def _in_x(x: float) -> float:
    return min(max(x, _LEFT + 2), _RIGHT - 2)


def _in_y(y: float) -> float:
    return min(max(y, _TOP), _BOTTOM - 2)
