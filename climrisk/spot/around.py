"""What surrounds a spot, read from ``data/wind_and_sun.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.spot.kinds import SpotKind

#: Eaves stand so high above the plant where nothing is told. [m]
EAVES_ABOVE_M = 1.5
#: Half the distance between side walls where nothing is told. [m]
HALF_WIDTH_M = 1.5
#: Side walls reach out at least so far where nothing is told. [m]
SIDE_WALLS_M = 0.5
#: Ceilings and walls in the open give back 0.3 of the half of the hidden sky's diffuse
#: light that falls on them (our estimate).
GIVEN_BACK = 0.15


@dataclass(frozen=True)
class Around:
    """What surrounds a spot: as told, else as usual for its kind.

    Parameters
    ----------
    walls : int
        0 none, 1 behind, 2 behind and at one side, 3 behind and at both sides.
    eaves_m, eaves_above_m, half_width_m : float
    horizon_deg : float
    passes : float
        Share of the light that glass and its frame let through.
    side_walls_m : float
        How far side walls reach out at least.
    given_back : float
        Share of the hidden sky's diffuse light that surfaces around give back.
    """

    walls: int
    eaves_m: float
    eaves_above_m: float
    half_width_m: float
    horizon_deg: float
    passes: float
    side_walls_m: float = SIDE_WALLS_M
    given_back: float = GIVEN_BACK


def around(kind: SpotKind) -> Around:
    """Return what surrounds a spot."""
    row, site = _read()["kind"][kind.name], kind.site
    usual = {
        "walls": kind.walls,
        "eaves_m": 0.0,
        "eaves_above_m": EAVES_ABOVE_M,
        "half_width_m": HALF_WIDTH_M,
        "horizon_deg": 0.0,
        "passes": 1.0,
        **row,
    }
    told = {
        name: getattr(site, name)
        for name in ("walls", "eaves_m", "eaves_above_m", "horizon_deg")
        if getattr(site, name) is not None
    }
    if kind.indoors and site.glass is not None:
        told["passes"] = _window(site.glass)
    return Around(**{**usual, **told})


def through_glass(kind: SpotKind) -> float:
    """Return the light through the told glass over that through the kind's usual."""
    if not kind.indoors or kind.site.glass is None:
        return 1.0
    return _window(kind.site.glass) / float(_read()["kind"][kind.name]["passes"])


def _window(glass: str) -> float:
    """Return the share of the light that a window of such glass lets through."""
    data = _read()["glass"]
    return float(data[glass]) * float(data["unframed"])


def table(name: str) -> dict[str, Any]:
    """Return a table of the file: ``roughness_m``, ``screen`` or ``gust``."""
    return dict(_read()[name])


def source_texts(keys: list[str]) -> list[str]:
    """Return sources in words."""
    return [_read()["sources"][key] for key in keys]


@lru_cache(maxsize=1)
def _read() -> dict[str, Any]:
    file = resources.files("climrisk.spot").joinpath("data/wind_and_sun.toml")
    return tomllib.loads(file.read_text("utf-8"))
