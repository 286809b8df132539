"""The result of ``climrisk event``: what each plant met, and when to look again."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.cold_dose import Grade
from climrisk.commands.shared.result import ExportedResult
from climrisk.core.ranges import Band
from climrisk.render.document import Caution, Frozen, WeatherInfo


class EventSource(Frozen):
    """What the event is known from, and its days."""

    kind: Literal["words", "record"]
    words: str | None
    first: str
    last: str
    chosen: str


class SpotMet(Frozen):
    """What a spot went through.

    `warming_k_per_h` is the steepest rise within six hours after the lowest, or, from
    words, the mean rise told; null where it is not known.
    """

    name: str
    kind: str
    words: str
    lowest_c: Band
    lowest_at: str | None
    warming_k_per_h: float | None
    unknown_hours: int | None


class HourMet(Frozen):
    """An hour at a spot, local standard time: 10, 50, 90 % of the members."""

    spot: str
    at: str
    low_c: float | None
    mid_c: float | None
    high_c: float | None


class LimitMet(Frozen):
    """Hours below a limit: low, mid and high over the members of the spread.

    From words only bounds are known: then mid, or mid and high, are null, and
    `unknown_because` says why.
    """

    limit_c: float
    hours: Band
    degree_hours: Band
    longest_run_h: Band
    unknown_because: str | None


class ReportRow(Frozen):
    """What a source saw after some cold."""

    outcome: Literal["endured", "effect", "harm"]
    at_or_below_c: float
    hours: float | None
    nights: int | None
    told: str
    basis: str
    sources: list[str]


class DoseMet(Frozen):
    """A dose laid beside the reports; see `climrisk.advice.cold_dose`."""

    grade: Grade
    words: str
    reports: list[ReportRow]


class SignsRow(Frozen):
    """When marks were seen after the cold, by a source."""

    first: str
    last: str
    told: str
    basis: str
    sources: list[str]


Outlook = Literal[
    "expect damage", "watch", "no damage reported", "not too cold", "cannot say"
]


class PlantMet(Frozen):
    """Exposure of one plant.

    `outlook` sums up the grade of its dose. `frost` says whether the spot fell below
    0 °C, by the median member, while the plant's tolerated minimum lies above.
    `must_not_dry` is true where a plant is known to have no storage organs or takes no
    drier rest; false is not known.
    """

    plant: str
    label: str
    count: int
    state: str
    spot: str
    wetness: Literal["wet", "damp", "dry"] | None
    preferred: LimitMet | None
    tolerated: LimitMet | None
    lowest_c: Band
    root_lowest_c: Band
    root_unknown_because: str | None
    outlook: Outlook
    frost: bool
    must_not_dry: bool
    dose: DoseMet
    signs: list[SignsRow]
    sentence: str


class LookRow(Frozen):
    """A day to look, for what, and why then."""

    date: str
    after_d: int
    what: str
    why: str
    basis: str
    sources: list[str]


class RuleRow(Frozen):
    """A piece of advice and what it rests on."""

    text: str
    basis: str
    sources: list[str]


class EventResult(ExportedResult):
    """A cold event: exposure by plant, wet plants first, and what to do about it."""

    home: str
    told: EventSource
    weather: WeatherInfo | None
    ended: str
    spots: list[SpotMet]
    hours: list[HourMet]
    plants: list[PlantMet]
    watch: list[LookRow]
    do_not: list[RuleRow]
    do: list[RuleRow]
    sentence: str
    sources: dict[str, str]
    cautions: list[Caution]
    files: list[str]
