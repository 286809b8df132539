"""The result of ``climrisk assess``: one plant, one spot, one pot, before buying."""

from __future__ import annotations

from typing import Literal

from climrisk.advice.months import State as MonthState
from climrisk.advice.verdict import Word as VerdictWord
from climrisk.commands.assess.dose_result import DoseInfo
from climrisk.commands.assess.evidence_result import Lack, Serving, Weak, WouldChange
from climrisk.commands.shared.chilling_result import WantedInfo
from climrisk.commands.shared.dates_result import RiskCurves, TailInfo
from climrisk.commands.shared.light_result import Dryness, Light, LightNeed
from climrisk.commands.shared.result import ExportedResult
from climrisk.commands.shared.wind_result import Wind
from climrisk.core.ranges import Band
from climrisk.render.document import (
    Caution,
    DriftInfo,
    Frozen,
    SeasonBand,
    WeatherInfo,
)


class Limit(Frozen):
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
    limits: dict[str, Limit | None]
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


class PerYear(Frozen):
    """Hours in growing years that are wholly inside the record, middle world."""

    typical: float | None
    worst: float | None
    worst_label: str | None


class Chill(Frozen):
    """Exposure of air, leaf or root zone to the plant's cold limits.

    Totals are over the whole record, `per_growing_year` beside them; null where no
    growing year lies wholly inside the record.
    """

    hours_below_preferred: Band
    hours_below_tolerated: Band
    lowest_c: Band
    longest_run_nights: Band
    preferred_per_growing_year: PerYear | None
    tolerated_per_growing_year: PerYear | None


class Drop(Frozen):
    """Night drop: day maximum minus the following night's lowest, middle world.

    `needed` is false where experiments found that the plant needs none; `large` and
    `sudden` nights are a strain on any plant, by stated falls that are our estimates;
    `share_below_wanted` is that of the growing months.
    """

    mean_k: float | None
    p95_k: float | None
    wanted_k: float | None
    met: bool | None
    needed: bool | None
    share_below_wanted: float | None
    large_k: float
    large_nights_per_growing_year: PerYear | None
    sudden_k: float
    sudden_nights_per_growing_year: PerYear | None
    words: str


class HeatLimit(Frozen):
    """A heat limit of the plant and how often the spot passes it.

    `typical` is of the median year, hours for ``ceiling`` and ``advised_top``, nights
    for ``warm_night``; beyond `rules_out_beyond` the spot is too hot.
    """

    kind: Literal["ceiling", "advised_top", "warm_night"]
    limit_c: float
    basis: str
    typical: float | None
    rules_out_beyond: float


class Heat(Frozen):
    """Exposure to the plant's heat limits.

    `hours_above_limit` and `per_growing_year` are of the lowest published day limit,
    else of the lowest; `limits` has all. `met` is false where the heat rules the spot
    out.
    """

    limit_c: float | None
    hours_above_limit: Band | None
    per_growing_year: PerYear | None
    warm_night_c: float | None
    warm_nights: Band | None
    warm_nights_per_growing_year: PerYear | None
    limits: list[HeatLimit]
    highest_c: Band
    met: bool | None
    unknown_because: dict[str, str]


class DateRange(Frozen):
    """Earliest and latest of the winters' own dates, as MM-DD."""

    earliest: str | None
    latest: str | None


class Move(Frozen):
    """A moving date by its risk.

    `risk` is the one the date keeps: the accepted one, or 1/(n+1) where n winters
    support no smaller one. `governed_by` says whether single harmful nights or long
    cold decide.
    """

    month_day: str | None
    next_date: str | None
    range: DateRange
    risk: float
    n: int
    status: Literal["date", "never", "always", "few", "typical year"]
    governed_by: Literal["harmful nights", "cold nights"] | None
    why: str


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


class ColdestNight(Frozen):
    """A coldest night of the record, middle world."""

    evening: str
    lowest_c: float


class Winters(Frozen):
    """Winters that count; a winter without a cold night stays in n."""

    n: int
    with_cold_night: Band | None
    with_harmful_night: Band | None
    coldest: list[ColdestNight]
    tail: TailInfo
    drift: DriftInfo | None


VerdictBasis = Literal["winters", "typical year", "far station"]


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


class UsualNights(Frozen):
    """First and last night below the preferred minimum in the median winter."""

    first_cold_night: str | None
    last_cold_night: str | None


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
