"""The result of ``climrisk remedies``: what helps a plant most."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.verdict import Word as VerdictWord
from climrisk.bands import Band
from climrisk.result.assess import Limit, PotInfo, SpotInfo
from climrisk.result.common import Caution, Frozen, Result, WeatherInfo

RemedyKind = Literal[
    "spot",
    "pot",
    "medium",
    "drier",
    "fleece",
    "wind screen",
    "stand",
    "indoor months",
    "tie",
]


class Remedy(Frozen):
    """One thing to do, by itself; saved hours are of the same worlds with and without.

    `saved` is what it is ranked by: root hours, since the roots feel every remedy; null
    where hours below a limit do not tell (a tie keeps the pot from falling). `clear`
    says whether 9 worlds in 10 gain.
    """

    kind: RemedyKind
    name: str
    basis: str
    air_hours_per_year: Band | None
    root_hours_per_year: Band | None
    air_saved_per_year: Band | None
    saved_per_year: Band | None
    clear: bool | None
    words: str


class RemediesResult(Result):
    """Remedies for a plant at a spot, the one that helps most first."""

    plant: str
    preferred: Limit
    verdict: VerdictWord
    state: str
    weather: WeatherInfo
    spot: SpotInfo
    pot: PotInfo
    members: int
    years: float
    air_hours_per_year: Band
    root_hours_per_year: Band
    remedies: list[Remedy]
    sentence: str
    cautions: list[Caution]
    files: list[str]
