"""What a place gives a plant beyond its cold limit, and what a room gives in winter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.judged import ColdNights
from climrisk.advice.verdict import Indoors, Needs
from climrisk.exposure.nights import Nights
from climrisk.simulate import summary
from climrisk.simulate.judge import Judged, Limits, sweep, warm_nights
from climrisk.simulate.planted import hot_kind
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.transfer import Prepared, spot_air_c

if TYPE_CHECKING:
    from climrisk.plants.model import Profile

_WINTER_CORE = {True: (12, 1, 2), False: (6, 7, 8)}
_GROWING = {True: (5, 6, 7, 8, 9, 10), False: (11, 12, 1, 2, 3, 4)}


def needs_of(
    judged: Judged, plant: Profile, prepared: Prepared, limits: Limits
) -> Needs:
    """Return how far heat, rest and night drop are met at a spot."""
    hot = (
        summary.per_year(judged.hot, 0, prepared) if limits.hot_c is not None else None
    )
    warm = None
    if limits.warm_night_c is not None:
        counted = summary.year_counts(warm_nights(judged), judged, prepared)
        warm = None if counted is None else counted.typical
    nights = judged.air.nights
    winter = np.isin(nights.month, _WINTER_CORE[nights.north])
    growing = np.isin(nights.month, _GROWING[nights.north])
    wanted = plant.night_drop_required_k
    return Needs(
        hot_hours=None if hot is None else hot.typical,
        hot_meaning=hot_kind(plant, "established"),
        warm_nights=warm,
        winter_night_c=_middle(nights.lowest_c[winter]),
        wants_cool_rest=plant.rest == "cool_dry",
        drop_k=_middle(nights.drop_k[growing]),
        wanted_drop_k=None if wanted is None else wanted[0],
    )


def _middle(values: np.ndarray) -> float | None:
    values = values[np.isfinite(values)]
    return float(np.median(values)) if values.size else None


@dataclass(frozen=True)
class _Room:
    kind: SpotKind
    words: str
    nights: Nights
    turned_down: bool = False


class IndoorAir:
    """Indoor spots at hand, each computed once, for any limit.

    Parameters
    ----------
    prepared : Prepared
    kinds : sequence of SpotKind
    rests : bool
        Whether any plant wants a cool rest: heated rooms are then turned down, too.
    """

    def __init__(
        self, prepared: Prepared, kinds: Sequence[SpotKind], *, rests: bool
    ) -> None:
        self.rooms: list[_Room] = []
        done: dict[SpotKind, Nights] = {}

        def nights(kind: SpotKind) -> Nights:
            if kind not in done:
                air = spot_air_c(prepared, kind)
                done[kind] = sweep(prepared, air, []).nights
            return done[kind]

        for kind in kinds:
            self.rooms.append(_Room(kind, kind.at, nights(kind)))
            if rests and kind.set_back_c is not None:
                cool = nights(spot_kind("unheated-room"))
                self.rooms.append(_Room(kind, kind.at, cool, turned_down=True))

    def tried(self, preferred_c: float, plant: Profile) -> tuple[Indoors, ...]:
        """Return how they would serve in winter.

        A heated room is also tried turned down to the plant's limit, for a cool rest.
        """
        out: list[Indoors] = []
        for room in self.rooms:
            if not room.turned_down:
                out.append(_served(room, room.nights.lowest_c, preferred_c, plant))
            elif not out[-1].needs.rest_met:
                cool = np.maximum(room.nights.lowest_c, np.float32(preferred_c))
                words = f"{room.words} turned down to {preferred_c:g} °C"
                out.append(
                    _served(replace(room, words=words), cool, preferred_c, plant)
                )
        return tuple(out)


def _served(
    room: _Room, lowest_c: NDArray[np.floating], preferred: float, plant: Profile
) -> Indoors:
    cold = ColdNights.of(room.nights, preferred, lowest_c)
    n = max(len(cold.winters), 1)
    winter = np.isin(room.nights.month, _WINTER_CORE[room.nights.north])
    needs = Needs(
        winter_night_c=_middle(lowest_c[winter]),
        wants_cool_rest=plant.rest == "cool_dry",
    )
    # By the middle world: a keeper can choose the warmer corner, or shut a door.
    share = float(np.median(cold.winters_with_cold()) / n)
    return Indoors(room.kind.name, room.words, share, needs)
