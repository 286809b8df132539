"""Spots and rooms of a home under the names their grower uses."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

from climrisk.spot.kinds import SpotKind, spot_kind


class NamedSpot(NamedTuple):
    """A spot or room and what its grower calls it."""

    name: str
    kind: SpotKind

    @classmethod
    def of(cls, kind: SpotKind) -> NamedSpot:
        """Return a kind of spot under its own name."""
        return cls(kind.name, kind)


@dataclass(frozen=True)
class HomePlaces:
    """What of a home the weather at its spots and the choice of rooms depend on.

    Parameters
    ----------
    name : str
    elevation_m : float, optional
        Its height; the station's where not given.
    rooms, spots : tuple of NamedSpot
        Rooms and outdoor spots; without rooms, the usual ones are tried.
    """

    name: str = "home"
    elevation_m: float | None = None
    rooms: tuple[NamedSpot, ...] = ()
    spots: tuple[NamedSpot, ...] = ()


#: Rooms that a home without any is tried with.
USUAL_ROOMS = (
    NamedSpot("a window sill", spot_kind("window-sill")),
    NamedSpot("a heated room", spot_kind("heated-room")),
)


#: Outdoor kinds that a home may have.
SPOTS = (
    "open-rail",
    "roofed-walkway",
    "roofed-balcony",
    "recessed-balcony",
    "wall-shelf",
    "glazed-balcony",
)
