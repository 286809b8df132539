"""A plant as it is kept."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from climrisk.spot.kinds import SpotKind

if TYPE_CHECKING:
    from climrisk.home import HomeMove
    from climrisk.plants.model import Profile
    from climrisk.pot.model import FilledPot


@dataclass(frozen=True)
class PottedPlant:
    """A plant as it is kept.

    Parameters
    ----------
    plant : Profile
    label : str
        What its keeper calls it.
    spot : str
        Name of the spot; its kind where it has no other.
    kind : SpotKind
    state : str
    count : int
    risk : float, optional
        Of this plant; that of the calendar where not given.
    room : str, optional
        Where it is carried to; chosen where not given.
    pot : FilledPot, optional
        For its weight.
    typed : str, optional
        The name that was looked up.
    moves : tuple of HomeMove
        What its grower noted of its being carried in and out.
    inside : bool, optional
        Whether it is indoors by these notes on the day asked about; None without a
        note.
    row : str, optional
        Reference of its entry in the home file.
    """

    plant: Profile
    label: str
    spot: str
    kind: SpotKind
    state: str = "established"
    count: int = 1
    risk: float | None = None
    room: str | None = None
    pot: FilledPot | None = None
    typed: str | None = None
    moves: tuple[HomeMove, ...] = ()
    inside: bool | None = None
    row: str | None = None
