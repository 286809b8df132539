"""What forms offer: plants, spots, pots and media by the names a grower would say."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from climrisk.core.calendar import today_here
from climrisk.home.model import references
from climrisk.home.spot import ROOM_KINDS
from climrisk.inputs.plant import STATES
from climrisk.plants.registry import index
from climrisk.pot.media import WETNESSES, media
from climrisk.pot.model import colors, walls
from climrisk.spot.kinds import KINDS, spot_kind

if TYPE_CHECKING:
    from climrisk.web.app_state import AppState


@dataclass(frozen=True)
class Choices:
    """Lists for forms, each of (value, words).

    `own_places` are the spots of the home with their kinds. `own_rows` are its plants
    by their references, each under a name that no other has; `placed` says in addition
    where each stands and whether indoors.
    """

    own_spots: tuple[tuple[str, str], ...]
    own_places: tuple[tuple[str, str], ...]
    own_rooms: tuple[tuple[str, str], ...]
    own_plants: tuple[str, ...]
    own_rows: tuple[tuple[str, str], ...]
    placed: tuple[tuple[str, str, str, bool], ...]
    rooms: tuple[tuple[str, str], ...]
    plants: tuple[tuple[str, str], ...]
    spots: tuple[tuple[str, str], ...]
    pots: tuple[str, ...]
    media: tuple[str, ...]
    wetnesses: tuple[str, ...]
    states: tuple[str, ...]
    colors: tuple[str, ...]


def choices(state: AppState, carried: list[tuple[str, str]]) -> Choices:
    """Return what forms offer with the weather that is carried along."""
    home = state.home_of(dict(carried))
    fixed = fixed_choices()
    if home is None:
        return Choices((), (), (), (), (), (), **fixed)
    today = today_here()
    refs, names = references(home.plant), home.plant_names
    now = [home.now_at(p, today) for p in home.plant]
    return Choices(
        tuple((s.name, f"{s.name} ({s.as_kind.words})") for s in home.places),
        tuple((s.name, s.kind) for s in home.places),
        tuple((s.name, s.name) for s in home.places if s.as_kind.indoors),
        tuple(dict.fromkeys(p.called for p in home.plant)),
        tuple(zip(refs, names, strict=True)),
        tuple(
            (ref, name, place.name, place.as_kind.indoors)
            for ref, name, place in zip(refs, names, now, strict=True)
        ),
        **fixed,
    )


@lru_cache(maxsize=1)
def fixed_choices() -> dict[str, Any]:
    """Return the lists that are the same for every home."""
    return {
        "plants": tuple((e.name, e.label) for e in index()),
        "rooms": tuple((k, spot_kind(k).words) for k in ROOM_KINDS),
        "spots": tuple((k, spot_kind(k).words) for k in KINDS),
        "pots": tuple(walls()),
        "media": tuple(media()),
        "wetnesses": tuple(WETNESSES),
        "states": tuple(STATES),
        "colors": tuple(colors()),
    }
