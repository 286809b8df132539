"""What surrounds a spot, read from ``data/wind_and_sun.toml``."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from statistics import NormalDist
from typing import Any

import numpy as np

from climrisk.spot.ensemble import Ensemble, Share
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
# Even a corner under a roof sees some of the sky.
_LEAST_OPEN = 0.05
#: Facings that stand for all of them where one member has to. [degrees]
_FACINGS = tuple(range(-180, 180, 45))


@dataclass(frozen=True)
class Around:
    """What surrounds a spot.

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
    side : int
        Of a second wall: 1 at the right hand of who looks out, -1 at the left, 0 not
        known.
    """

    walls: int
    eaves_m: float
    eaves_above_m: float
    half_width_m: float
    horizon_deg: float
    passes: float
    side_walls_m: float = SIDE_WALLS_M
    given_back: float = GIVEN_BACK
    side: int = 0


@dataclass(frozen=True)
class Unknown:
    """What is not told of the surroundings of a spot, and how far it reaches.

    Parameters
    ----------
    facing_within_deg : float
        How far the open side may look off the sun's side; 0 where the facing is told.
    eaves_m, horizon_deg : (float, float)
        Least and most; the same twice where it is told.
    wall : bool
        Whether there may be a wall behind or none.
    side : bool
        Whether the second wall may be at either side.
    """

    facing_within_deg: float
    eaves_m: tuple[float, float]
    horizon_deg: tuple[float, float]
    wall: bool
    side: bool

    @property
    def anything(self) -> bool:
        """Whether members differ in what surrounds them."""
        apart = self.eaves_m[0] != self.eaves_m[1]
        apart |= self.horizon_deg[0] != self.horizon_deg[1]
        return bool(self.facing_within_deg) or apart or self.wall or self.side


def around(kind: SpotKind) -> Around:
    """Return what surrounds a spot: as told, else the middle of what it may be."""
    row, site = _read()["kind"][kind.name], kind.site
    unspecified = unknown(kind)
    usual = {
        "walls": kind.walls,
        "eaves_above_m": EAVES_ABOVE_M,
        "half_width_m": HALF_WIDTH_M,
        "passes": 1.0,
        **{k: v for k, v in row.items() if k not in _RANGED},
        "eaves_m": sum(unspecified.eaves_m) / 2,
        "horizon_deg": sum(unspecified.horizon_deg) / 2,
    }
    if row.get("wall_behind") and site.facing_deg is not None:
        usual["walls"] = max(kind.walls, 1)
    particulars = {
        name: getattr(site, name)
        for name in ("walls", "eaves_above_m")
        if getattr(site, name) is not None
    }
    if kind.indoors and site.glass is not None:
        particulars["passes"] = _window(site.glass)
    return Around(**{**usual, **particulars})


_RANGED = ("eaves_m", "horizon_deg", "wall_behind", "facing_within_deg")


def unknown(kind: SpotKind) -> Unknown:
    """Return what is not told of the surroundings of a spot."""
    row, site = _read()["kind"][kind.name], kind.site
    ranges: list[tuple[float, float]] = []
    for name in ("eaves_m", "horizon_deg"):
        value = getattr(site, name)
        low, high = row.get(name, (0.0, 0.0)) if value is None else (value, value)
        ranges.append((float(low), float(high)))
    walls = kind.walls if site.walls is None else site.walls
    within = float(row.get("facing_within_deg", 180.0))
    wall = bool(row.get("wall_behind")) and site.walls is None
    # Facing matters only where something stands in the way on one side.
    blind = walls == 0 and ranges[0][1] == 0 and not wall
    facing_given = site.facing_deg is not None
    return Unknown(
        0.0 if facing_given or blind else within,
        ranges[0],
        ranges[1],
        wall=wall and not facing_given,
        side=walls == 2,
    )


@dataclass(frozen=True)
class Surrounded:
    """A member: what surrounds the spot in it, and where the open side looks."""

    place: Around
    facing_deg: float


def middle(kind: SpotKind, facing_deg: float) -> list[Surrounded]:
    """Return places that together stand for one member, each as likely as the others.

    Parameters
    ----------
    kind : SpotKind
    facing_deg : float
        As told, else the sun's side.
    """
    place, unspecified = around(kind), unknown(kind)
    within = unspecified.facing_within_deg
    off = [f * within / 180.0 for f in _FACINGS] if within else [0.0]
    if 0 < within < 180:  # both ends are not one facing
        off = [f + within / 8 for f in off]
    places = [place]
    if unspecified.wall:
        places = [replace(place, walls=0), replace(place, walls=1)]
    return [Surrounded(p, facing_deg + f) for p in places for f in off]


def drawn(kind: SpotKind, facing_deg: float, ensemble: Ensemble) -> list[Surrounded]:
    """Return what surrounds the spot in each member."""
    place, unspecified = around(kind), unknown(kind)
    out = []
    for i in range(ensemble.count):
        at = {
            name: NormalDist().cdf(float(ensemble.scores[name][0, i]))
            for name in ("facing", "eaves", "horizon", "walls")
        }
        here = replace(
            place,
            eaves_m=float(np.interp(at["eaves"], (0, 1), unspecified.eaves_m)),
            horizon_deg=float(
                np.interp(at["horizon"], (0, 1), unspecified.horizon_deg)
            ),
        )
        one = at["walls"] < 0.5
        if unspecified.wall:
            here = replace(here, walls=int(one))
        if unspecified.side:
            here = replace(here, side=1 if one else -1)
        off = (2 * at["facing"] - 1) * unspecified.facing_within_deg
        out.append(Surrounded(here, facing_deg + off))
    return out


def open_to(kind: SpotKind, ensemble: Ensemble) -> Share:
    """Return how much of the kind's sky and sun each member sees, 1 or (1, case)."""
    if kind.open_share == (1.0, 0.0):
        return 1.0
    drawn = np.clip(ensemble.value("open", kind.open_share), _LEAST_OPEN, 1.0)
    return np.asarray(drawn, dtype=np.float32)


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
