"""Spots and rooms of a home under the names their grower uses."""

from __future__ import annotations

from dataclasses import dataclass

from climrisk.spot.kinds import SpotKind, spot_kind


@dataclass(frozen=True)
class NamedSpot:
    """A spot or room and what its grower calls it."""

    name: str
    kind: SpotKind


#: Rooms that a home without any is tried with.
USUAL_ROOMS = (
    NamedSpot("a window sill", spot_kind("window-sill")),
    NamedSpot("a heated room", spot_kind("heated-room")),
)
