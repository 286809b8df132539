"""What forms offer: plants, spots, pots and media by the names a grower would say."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from climrisk.plants.registry import index
from climrisk.pot.media import WETNESSES, media
from climrisk.pot.model import colors, walls
from climrisk.simulate.asked import STATES
from climrisk.spot.kinds import KINDS, spot_kind

if TYPE_CHECKING:
    from climrisk.web.room import Room


@dataclass(frozen=True)
class Choices:
    """Lists for forms, each of (value, words)."""

    own_spots: tuple[tuple[str, str], ...]
    own_plants: tuple[str, ...]
    plants: tuple[tuple[str, str], ...]
    spots: tuple[tuple[str, str], ...]
    pots: tuple[str, ...]
    media: tuple[str, ...]
    wetnesses: tuple[str, ...]
    states: tuple[str, ...]
    colors: tuple[str, ...]


def choices(room: Room, carried: list[tuple[str, str]]) -> Choices:
    """Return what forms offer with the weather that is carried along."""
    home = room.home_of(dict(carried))
    own = () if home is None else home.places
    return Choices(
        tuple((s.name, f"{s.name} ({s.as_kind.words})") for s in own),
        () if home is None else tuple(p.called for p in home.plant),
        **_fixed(),
    )


@lru_cache(maxsize=1)
def _fixed() -> dict[str, Any]:
    return {
        "plants": tuple((e.name, e.label) for e in index()),
        "spots": tuple((k, spot_kind(k).words) for k in KINDS),
        "pots": tuple(walls()),
        "media": tuple(media()),
        "wetnesses": tuple(WETNESSES),
        "states": tuple(STATES),
        "colors": tuple(colors()),
    }
