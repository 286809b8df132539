"""The result of ``climrisk remedies``: what helps a plant most."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.verdict import VerdictWord
from climrisk.commands.shared.result import ExportedResult
from climrisk.commands.shared.subject_result import LimitInfo, PotInfo, SpotInfo
from climrisk.core.ranges import Band
from climrisk.render.document import Caution, Frozen, WeatherInfo

RemedyKind = Literal[
    "spot",
    "curtain",
    "distance",
    "room",
    "pot",
    "medium",
    "drier",
    "fleece",
    "wind screen",
    "stand",
    "indoor months",
    "tie",
]

#: What a remedy takes: nothing, a small purchase, or carrying the plant in for months.
Cost = Literal["free", "cheap", "move"]


class Remedy(Frozen):
    """One thing to do, by itself; hours saved pair the same members with and without.

    `saved_per_year` is what it is ranked by within its `cost`: root hours, since the
    roots feel every remedy; null where hours below a limit do not apply (a tie keeps
    the pot from falling). `clear` says whether 9 members in 10 agree.
    `warmer_by_night_k` is, for another pot or medium, the mean winter night low of the
    root zone above that of the present one; null for other remedies. Where it and the
    hours disagree, `words` says so and `clear` is false: such a pot holds the day's
    heat by night, and takes up less of the sun by day, or the reverse.
    """

    kind: RemedyKind
    cost: Cost
    name: str
    basis: str
    air_hours_per_year: Band | None
    root_hours_per_year: Band | None
    air_saved_per_year: Band | None
    saved_per_year: Band | None
    warmer_by_night_k: Band | None
    clear: bool | None
    words: str


class RemediesResult(ExportedResult):
    """Remedies for a plant at a spot: free ones, cheap ones, moves; the best first.

    Hours below the preferred minimum as it stands: `*_hours_typical_year` is a growing
    year's, over years and members, as ``climrisk assess`` and ``climrisk spots`` count
    it; `*_hours_per_year` is the mean over all `years`, over members, to which those of
    each remedy compare.
    """

    plant: str
    preferred: LimitInfo
    verdict: VerdictWord
    state: str
    weather: WeatherInfo
    spot: SpotInfo
    pot: PotInfo
    members: int
    years: float
    air_hours_typical_year: Band
    root_hours_typical_year: Band
    air_hours_per_year: Band
    root_hours_per_year: Band
    remedies: list[Remedy]
    sentence: str
    cautions: list[Caution]
    files: list[str]
