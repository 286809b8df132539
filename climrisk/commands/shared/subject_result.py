"""The plant, the spot and the pot as parts of a result."""

from __future__ import annotations

from climrisk.render.document import Frozen


class LimitInfo(Frozen):
    """A plant limit with where it comes from."""

    value: float
    meaning: str
    basis: str
    sources: list[str]


class PlantInfo(Frozen):
    """The plant as its profile knows it.

    `read_as` is the profile's name where what was typed (`asked`) is none of its names.
    """

    name: str
    asked: str
    read_as: str | None
    label: str
    own: bool
    limits: dict[str, LimitInfo | None]
    rest: str | None
    toxic_note: str | None


class SpotInfo(Frozen):
    """The spot, its prior and its spread.

    `still_offset_k` and `windy_offset_k` are mean and standard deviation of the night
    minimum against the station's, on clear still and on windy winter nights.
    """

    kind: str
    words: str
    at: str
    basis: str
    sources: list[str]
    members: int
    told: list[str]
    still_offset_k: list[float] | None
    windy_offset_k: list[float] | None
    learned: bool
    notes: list[str]


class PotInfo(Frozen):
    """The pot and its medium."""

    kind: str
    diameter_cm: float
    medium: str
    time_constant_h: float
    setup: str
