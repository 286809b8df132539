"""Which indoor room takes a plant for the winter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from climrisk.advice.judged import ColdNights
from climrisk.advice.verdict import COOL_REST_C
from climrisk.advice.wanted import Earned, window_of
from climrisk.exposure.nights import Nights
from climrisk.simulate.judge import sweep
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.transfer import Prepared, spot_air_c

if TYPE_CHECKING:
    from climrisk.plants.model import Profile

#: Kinds of rooms where no home names its own, and what they are called then.
USUAL_ROOMS = (("an unheated room", "unheated-room"), ("a heated room", "heated-room"))
#: A room serves where at most this share of winters has a night too cold in it.
_MOST_COLD = 0.1
_CORE = {True: (12, 1, 2), False: (6, 7, 8)}


@dataclass(frozen=True)
class Room:
    """A room and the spot that it is."""

    name: str
    kind: SpotKind


@dataclass(frozen=True)
class Choice:
    """Where a plant goes for the winter.

    Parameters
    ----------
    room : str
    serves : bool
        It keeps the plant's night minimum in 9 winters of 10, and its cool rest.
    why : str
        What it lacks, or that it serves.
    """

    room: str
    serves: bool
    why: str


@dataclass(frozen=True)
class _Tried:
    """A room as a plant would find it, by the middle world.

    Parameters
    ----------
    cold : int
        Winters with a night too cold.
    winters : int
    night_c : float
        Typical lowest of winter nights.
    rests : bool
        Cool enough where a cool rest is wanted.
    wanted : float
        Wanted cool nights of a typical winter.
    """

    room: Room
    cold: int
    winters: int
    night_c: float
    rests: bool
    wanted: float

    @property
    def too_cold(self) -> bool:
        return self.cold > _MOST_COLD * self.winters

    @property
    def serves(self) -> bool:
        return not self.too_cold and self.rests

    @property
    def why(self) -> str:
        if self.too_cold:
            return f"too cold in {self.cold} of {self.winters} winters"
        if not self.rests:
            return f"too warm for its rest, nights of about {self.night_c:.0f} °C"
        return f"too cold in {self.cold} of {self.winters} winters"


def usual_rooms() -> tuple[Room, ...]:
    """Return the rooms where no home names its own."""
    return tuple(Room(name, spot_kind(kind)) for name, kind in USUAL_ROOMS)


@dataclass
class WinterRooms:
    """The rooms of a home, each computed once.

    Parameters
    ----------
    prepared : Prepared
    rooms : sequence of Room
    """

    prepared: Prepared
    rooms: Sequence[Room]
    _nights: dict[str, Nights] = field(default_factory=dict)

    def nights(self, room: Room) -> Nights:
        """Return the nights of a room."""
        if room.name not in self._nights:
            air = spot_air_c(self.prepared, room.kind)
            self._nights[room.name] = sweep(self.prepared, air, []).nights
        return self._nights[room.name]

    def choose(
        self, plant: Profile, limit_c: float, wished: str | None = None
    ) -> Choice | None:
        """Return the room that serves best, else the least cold one.

        Of those that serve, the one with the most wanted cool nights, then the coolest.

        Parameters
        ----------
        plant : Profile
        limit_c : float
            Its night minimum.
        wished : str, optional
            The room that its keeper names; it is kept, and judged.
        """
        tried = [self._tried(r, plant, limit_c) for r in self.rooms]
        if wished is not None:
            tried = [t for t in tried if t.room.name.lower() == wished.lower()]
        if not tried:
            return None
        serving = [t for t in tried if t.serves]
        if serving:
            best = max(serving, key=lambda t: (t.wanted, -t.night_c))
            return Choice(best.room.name, serves=True, why=best.why)
        # Too warm a rest is the lesser harm; of rooms too cold, the warmest.
        mild = [t for t in tried if not t.too_cold]
        best = (
            min(mild, key=lambda t: t.night_c)
            if mild
            else max(tried, key=lambda t: (-t.cold, t.night_c))
        )
        return Choice(best.room.name, serves=False, why=best.why)

    def named(self, name: str | None) -> Nights | None:
        """Return the nights of a room by its name; None without one."""
        room = next((r for r in self.rooms if r.name == name), None)
        return None if room is None else self.nights(room)

    def _tried(self, room: Room, plant: Profile, limit_c: float) -> _Tried:
        nights = self.nights(room)
        cold = ColdNights.of(nights, limit_c)
        count = int(np.rint(np.median(cold.winters_with_cold())))
        core = nights.lowest_c[np.isin(nights.month, _CORE[nights.north])]
        core = core[np.isfinite(core)]
        night = float(np.median(core)) if core.size else float("nan")
        window = window_of(plant)
        wanted = 0.0
        if window is not None and len(cold.winters):
            earned = Earned.of(window, nights, cold.winters)
            wanted = float(np.median(earned.before(None)))
        return _Tried(
            *(room, count, max(len(cold.winters), 1), night),
            plant.rest != "cool_dry" or night <= COOL_REST_C,
            wanted,
        )
