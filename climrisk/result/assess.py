"""The result of ``climrisk assess``: one plant, one spot, one pot, before buying."""

from __future__ import annotations

from typing import Literal

from climrisk.bands import Band
from climrisk.result.common import Caution, DriftInfo, Frozen, Result, WeatherInfo
from climrisk.result.dates import RiskCurves, TailInfo
from climrisk.result.dose import DoseInfo
from climrisk.result.evidence import Lack, Serving, Weak, WouldChange
from climrisk.result.light import Dryness, Light
from climrisk.result.wanted import WantedInfo
from climrisk.result.wind import Wind

MonthState = Literal["out", "in", "unsure", "unknown"]


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

    Totals are over the whole record. Where the plant has no tolerated limit, its
    counts are null and `unknown_because` says why.
    """

    hours_below_preferred: Band | None
    hours_below_tolerated: Band | None
    lowest_c: Band
    longest_run_nights: Band | None
    preferred_per_growing_year: PerYear | None
    tolerated_per_growing_year: PerYear | None
    unknown_because: dict[str, str]


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


class Heat(Frozen):
    """Exposure to the plant's heat limits."""

    limit_c: float | None
    hours_above_limit: Band | None
    per_growing_year: PerYear | None
    warm_night_c: float | None
    warm_nights: Band | None
    warm_nights_per_growing_year: PerYear | None
    highest_c: Band
    met: bool | None
    unknown_because: dict[str, str]


class DateRange(Frozen):
    """Earliest and latest of the winters' own dates, as MM-DD."""

    earliest: str | None
    latest: str | None


class Move(Frozen):
    """A moving date by its risk."""

    month_day: str | None
    next_date: str | None
    range: DateRange
    risk: float
    n: int
    status: Literal["date", "never", "always", "too rare", "few", "typical year"]
    why: str


class MonthShare(Frozen):
    """What a month state was told from."""

    share_with_cold_night: float | None
    years: int


class ColdestNight(Frozen):
    """A coldest night of the record, middle world."""

    evening: str
    lowest_c: float


class Winters(Frozen):
    """Winters that count; a winter without a cold night stays in n."""

    n: int
    with_cold_night: Band | None
    with_damaging_night: Band | None
    coldest: list[ColdestNight]
    tail: TailInfo
    drift: DriftInfo | None


class VerdictInfo(Frozen):
    """The word, a sentence to act on, and the reasons."""

    word: Literal[
        "suits", "suits with moves", "indoors in winter", "poor match", "cannot say"
    ]
    sentence: str
    reasons: list[str]
    indoor_spot: str | None
    indoor_words: str | None


class SeasonBand(Frozen):
    """Night minima of one week of the growing year, over winters and worlds."""

    week: int
    starts: str
    low_c: float | None
    mid_c: float | None
    high_c: float | None
    coldest_c: float | None


class AssessResult(Result):
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
    months: dict[str, MonthState]
    months_basis: Literal["winters", "typical year"]
    month_shares: dict[str, MonthShare]
    move_in: Move
    move_out: Move
    risk_curve: RiskCurves
    winters: Winters
    governed_by: Literal["air", "leaf", "root_zone"]
    verdict: VerdictInfo
    dose: DoseInfo
    wanted: WantedInfo | None
    lacks: list[Lack]
    weak: list[Weak]
    would_change: WouldChange
    serving: Serving
    year_strip: list[SeasonBand]
    cautions: list[Caution]
