"""Spots and rooms of a home, with what is told and learned of them."""

from __future__ import annotations

from dataclasses import replace

from pydantic import Field, field_validator, model_validator

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.home.parts import EntryError, HomePart, ShortText
from climrisk.spot.kinds import KINDS, SpotKind, spot_kind
from climrisk.spot.learned import Evidence, Learned
from climrisk.spot.site import KEYS, site_of

#: Kinds that a room may be.
ROOM_KINDS = tuple(k for k in KINDS if spot_kind(k).indoors)
Particular = str | float | bool | None
TwoNumbers = tuple[float, float]


class HomeEvidence(HomePart):
    """What one logger record said; see `climrisk.spot.learned.Evidence`."""

    first: str
    last: str
    nights: int = Field(ge=1)
    still_nights: int = Field(ge=0)
    a_still: float
    a_both: float
    a_windy: float
    b_still: float
    b_windy: float


class HomeLearned(HomePart):
    """Offsets that `climrisk learn` wrote; see `climrisk.spot.learned.Learned`."""

    on: str
    still_k: TwoNumbers
    windy_k: TwoNumbers
    day_k: TwoNumbers
    noise_k: float = Field(ge=0, le=10)
    still_by_hour: tuple[float, ...] = ()
    windy_by_hour: tuple[float, ...] = ()
    in_winter: float = Field(ge=0, le=1)
    against: str = ""
    evidence: tuple[HomeEvidence, ...] = ()

    @property
    def figures(self) -> Learned:
        """The figures as the spot uses them."""
        fields = self.model_dump(exclude={"on", "evidence"})
        rows = tuple(Evidence(**row.model_dump()) for row in self.evidence)
        return Learned(**fields, evidence=rows)


class HomePlace(HomePart):
    """Where plants stand; what it may tell is `climrisk.spot.site.Site`."""

    name: ShortText
    kind: str
    facing: Particular = None
    floor: Particular = None
    eaves: Particular = None
    eaves_above: Particular = None
    horizon: Particular = None
    walls: Particular = None
    house: Particular = None
    hollow: Particular = None
    shade: Particular = None
    vents: Particular = None
    screen: Particular = None
    wet_floor: Particular = None
    insulation: Particular = None
    glass: Particular = None
    from_glass: Particular = None
    curtain: Particular = None
    set_point: Particular = None
    set_back: Particular = None
    heating: Particular = None
    heating_months: Particular = None
    learned: HomeLearned | None = None

    @field_validator("kind")
    @classmethod
    def _known(cls, kind: str) -> str:
        try:
            return spot_kind(kind).name
        except InputError as error:
            raise EntryError.of(error) from error

    @model_validator(mode="after")
    def _valid_particulars(self) -> HomePlace:
        try:
            _ = self.as_kind
        except InputError as error:
            key = error.where.rsplit(" ", 1)[-1]
            raise EntryError.of(error, at=(key,) if key in KEYS else ()) from error
        return self

    @property
    def as_kind(self) -> SpotKind:
        """The kind with what is told and learned of this spot."""
        particulars = {key: getattr(self, key) for key in KEYS}
        return replace(
            spot_kind(self.kind),
            site=site_of(particulars, where=f"spot {self.name!r}"),
            learned=None if self.learned is None else self.learned.figures,
        )


class HomeSpot(HomePlace):
    """A spot; optionally the room that its plants are carried into."""

    room: str | None = None


class HomeRoom(HomePlace):
    """A room that plants are carried into; plants may stand there all year too."""

    kind: str = "unheated-room"

    @field_validator("kind")
    @classmethod
    def _indoors(cls, kind: str) -> str:
        try:
            return validation.named(kind, ROOM_KINDS, what="kind of room", where="room")
        except InputError as error:
            raise EntryError.of(error) from error
