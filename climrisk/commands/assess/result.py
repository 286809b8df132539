"""The result of ``climrisk assess``: one plant, one spot, one pot, before buying."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.cold_dose import Grade
from climrisk.advice.months import State as MonthState
from climrisk.advice.verdict import VerdictBasis, VerdictWord
from climrisk.commands.shared.chilling_result import WantedInfo
from climrisk.commands.shared.dates_result import (
    Move,
    RiskCurves,
    UsualNights,
    Winters,
)
from climrisk.commands.shared.exposures_result import Chill, Drop, Heat
from climrisk.commands.shared.light_result import Dryness, Light, LightNeed
from climrisk.commands.shared.result import ExportedResult
from climrisk.commands.shared.subject_result import PlantInfo, PotInfo, SpotInfo
from climrisk.commands.shared.wind_result import Wind
from climrisk.render.document import (
    Caution,
    Frozen,
    Result,
    SeasonBand,
    WeatherInfo,
)


class MonthInfo(Frozen):
    """A month by its nights; the state shown beside it follows the dates as well.

    `cold_nights` are those below the preferred minimum in the median year, without
    those of a cool rest or of wanted cold; `harmful_nights` those below the tolerated
    one, mean over years.
    """

    state: MonthState
    share_with_harmful_night: float | None
    cold_nights: float | None
    harmful_nights: float | None
    years: int
    note: str | None


class ConditionInfo(Frozen):
    """Something to be done so that the verdict holds."""

    kind: Literal["light", "single nights", "heat", "dry air", "retreat"]
    words: str
    months: list[int]
    lamp_h: int | None


class VerdictInfo(Frozen):
    """The word, a sentence to act on, and the reasons.

    `may_be` is the word one step away that the uncertainty of the spot leaves open;
    `basis` is what the word rests on. `months_in` and `retreat_months` are spent in
    `room` and `retreat`, the latter from `retreat_from` to the day before
    `retreat_until`; `rooms_assumed` is true where the home names no room.
    """

    word: VerdictWord
    may_be: VerdictWord | None
    basis: VerdictBasis
    sentence: str
    reasons: list[str]
    conditions: list[ConditionInfo]
    months_in: list[int]
    room: str | None
    room_at: str | None
    rooms_assumed: bool
    retreat_months: list[int]
    retreat: str | None
    retreat_from: str | None
    retreat_until: str | None
    single_nights: float
    strict: bool


class FloweringInfo(Frozen):
    """Whether the plant is likely to flower there; it never changes the verdict."""

    word: Literal["likely", "unlikely", "cannot say"]
    reason: str


class AssessResult(ExportedResult):
    """What a spot would do to a plant, and what its keeper should do about it."""

    plant: PlantInfo
    weather: WeatherInfo
    spot: SpotInfo
    pot: PotInfo
    state: str
    risk: float
    spring_risk: float
    air: Chill
    leaf: Chill
    root_zone: Chill
    night_drop: Drop
    heat: Heat
    dryness: Dryness
    wind: Wind
    light: Light
    light_need: LightNeed
    months: dict[str, MonthState]
    months_basis: Literal["winters", "typical year"]
    month_details: dict[str, MonthInfo]
    move_in: Move
    move_out: Move
    watch_from: Move | None
    watch_until: Move | None
    usual: UsualNights
    risk_curve: RiskCurves
    winters: Winters
    governed_by: Literal["air", "leaf", "root_zone"]
    verdict: VerdictInfo
    flowering: FloweringInfo
    dose: DoseInfo
    wanted: WantedInfo | None
    lacks: list[Lack]
    weak: list[Weak]
    would_change: WouldChange
    serving: Serving
    year_strip: list[SeasonBand]
    cautions: list[Caution]


class DoseWinters(Frozen):
    """Winters whose cold at the spot reaches a grade; no promise of harm or safety."""

    grade: Grade
    winters: int
    words: str


class DoseReport(Frozen):
    """A report that the cold reaches, or that covers it, and in how many winters.

    `hours` are those of one stretch, or of each of `nights`; null where the source does
    not say how long.
    """

    outcome: Literal["endured", "effect", "harm"]
    at_or_below_c: float
    hours: float | None
    nights: int | None
    told: str
    sources: list[str]
    winters: int


class DoseInfo(Frozen):
    """Temperature, hours and nights in a row of each winter, beside reports."""

    winters: list[DoseWinters]
    reports: list[DoseReport]
    words: str


FloweringNeed = Literal["cool spell", "warm nights", "humidity"]


class Lack(Frozen):
    """Something that the plant wants and the spot does not give, with both numbers."""

    need: FloweringNeed
    wanted: float | None
    had: float | None
    unit: str
    words: str


class Weak(Frozen):
    """A part of the evidence that is weak."""

    what: Literal[
        "limit from memory",
        "limit of its class",
        "estimated limit",
        "few winters",
        "far station",
        "model hours",
        "gaps",
        "spot prior",
        "assumed weather",
        "drifting climate",
    ]
    words: str


class OtherLimit(Frozen):
    """The word if the night minimum were another; societies differ by 3 to 5 K."""

    preferred_c: float
    word: str
    months_out: int


class WouldChange(Frozen):
    """What would change the answer."""

    other_limits: list[OtherLimit]
    words: list[str]


class BetterSpot(Frozen):
    """A spot by the median member of the last growing years."""

    spot: str
    words: str
    word: VerdictWord
    harmful_nights_per_year: float
    cold_nights_per_year: float
    hot_hours_per_year: float | None


class BetterPot(Frozen):
    """A pot at the asked spot, by the same measure."""

    pot: str
    medium: str
    root_hours_below_preferred_per_year: float


class Serving(Frozen):
    """Which spot and which pot would serve best; the first of each list."""

    growing_years: int
    spots: list[BetterSpot]
    pots: list[BetterPot]
    words: str


class Choice(Frozen):
    """One plant that may be meant, how its keeper would know it, and its answer."""

    kind: str
    line: str
    name: str
    result: AssessResult


class AssessSeveral(Result):
    """One question and all answers side by side; no number stands for all of them.

    `read_as` is what the name was read as, where that is another than the one typed.

    `scenarios` are a warm, an intermediate and a cool grower by the classes of one
    society: they stand for no plant. `form` is a profile to fill in.
    """

    asked: str
    read_as: str | None
    why: Literal["covers several plants", "no profile"]
    question: str
    nearest: list[str]
    scenarios: bool
    weather: WeatherInfo
    choices: list[Choice]
    sentence: str
    next_steps: list[str]
    form: str | None
    cautions: list[Caution]
    files: list[str]
