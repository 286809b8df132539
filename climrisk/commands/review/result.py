"""The result of ``climrisk review``: the year looked back on."""

from __future__ import annotations

from typing import Literal

from climrisk.commands.shared.result import ExportedResult
from climrisk.render.document import Caution, Frozen, WeatherInfo
from climrisk.spot.regimes import NightKind

#: Whose minima: the logger's where it knows a night, the model's elsewhere.
By = Literal["logger", "model", "both"]


class Bias(Frozen):
    """Logger minus model over the nights of one kind; null where there is none.

    `rms_k` is the root mean square of the differences, `inside_frac` the share of
    nights whose logged minimum lies within the model's 10 to 90 % band (0.8 expected).
    """

    kind: Literal["still", "mixed", "windy", "all"]
    nights: int
    bias_k: float | None
    rms_k: float | None
    inside_frac: float | None


class ReviewNight(Frozen):
    """A winter night by logger and by model (10 %, middle, 90 % of the members)."""

    evening: str
    logger_c: float | None
    model_low_c: float | None
    model_c: float | None
    model_high_c: float | None
    regime_weight: float
    kind: NightKind
    difference_k: float | None


class WinterLine(Frozen):
    """One winter by the model's middle member."""

    label: str
    counts: bool
    mean_minimum_c: float | None
    lowest_c: float | None
    lowest_evening: str | None


class Rank(Frozen):
    """Where the winter stands among those that count; rank 1 is the coldest."""

    winters: int
    by_mean: int
    by_lowest: int
    colder_frac: float
    words: str


class Below(Frozen):
    """What the winter had below a threshold, from `by`."""

    threshold_c: float
    by: By
    hours: float | None
    nights: int
    longest_run_nights: int
    unknown_nights: int


class ReviewPlant(Frozen):
    """How near the edge a plant lived.

    `margin_k` is the winter's lowest minus the coldest night it tolerates.
    `nights_elsewhere` of the winter it was noted as standing somewhere else: they are
    not counted. `near_misses` are nights above that by no more than `near_k`.
    `winters_below` counts winters of the model's median member with a night below it.
    """

    plant: str
    label: str
    count: int
    preferred_c: float
    tolerated_c: float
    by: By
    nights_elsewhere: int
    nights_below_preferred: int
    nights_below_tolerated: int
    lowest_c: float | None
    margin_k: float | None
    near_misses: list[str]
    winters_below: int
    winters: int
    state: Literal["below", "edge", "clear", "unknown"]
    sentence: str


class OffsetLine(Frozen):
    """An offset of night minima from the station, mean and standard deviation."""

    kind: Literal["still", "windy"]
    before_k: float
    before_sd_k: float
    after_k: float
    after_sd_k: float


class ReviewResult(ExportedResult):
    """Logger against model, this winter's rank, near misses, plants near the edge."""

    home: str
    spot: str
    spot_kind: str
    weather: WeatherInfo
    logger: str | None
    shown: str
    winters: list[WinterLine]
    rank: Rank | None
    rank_unknown_because: str | None
    bias: list[Bias]
    bias_unknown_because: str | None
    offsets: list[OffsetLine]
    offsets_unknown_because: str | None
    thresholds: list[Below]
    coldest: list[ReviewNight]
    nights: list[ReviewNight]
    near_k: float
    plants: list[ReviewPlant]
    sentence: str
    notes: list[str]
    cautions: list[Caution]
    files: list[str]
