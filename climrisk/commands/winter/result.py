"""The result of ``climrisk winter``: the winter exposure of a spot, night by night."""

from __future__ import annotations

from typing import Literal

from climrisk.commands.shared.result import ExportedResult
from climrisk.commands.shared.subject_result import LimitInfo
from climrisk.core.ranges import Band
from climrisk.render.document import Caution, DriftInfo, Frozen, WeatherInfo
from climrisk.spot.regimes import NightKind


class NightRow(Frozen):
    """One night, noon to noon, dated by its evening; by the middle member.

    `regime_weight` is 1 on clear still nights and 0 on windy or overcast ones, and
    `regime_spread` its standard deviation by what it was told from (wind and cloud, one
    of them, or the evening's cooling). `kind` tells clear still nights (weight above
    2/3) from windy or overcast ones (below 1/3); `known` is measured, modeled, filled
    or missing.
    """

    evening: str
    lowest_c: float | None
    low_c: float | None
    high_c: float | None
    evening_c: float | None
    hours_below: dict[str, float]
    regime_weight: float
    regime_spread: float
    kind: NightKind
    wind_m_s: float | None
    counts: bool
    known: Literal["measured", "modeled", "filled", "missing"]


class WinterRow(Frozen):
    """One winter of the record."""

    label: str
    counts: bool
    lowest_c: float | None
    lowest_evening: str | None
    cold_nights: dict[str, int]
    hours_below: dict[str, float]
    unknown_nights: int


class ThresholdSum(Frozen):
    """Hours and nights below a threshold in the winters that count.

    Ranges are over winters and members. `longest_run_nights` is the longest run within
    any one of these winters, November to March or May to September, by the median
    member.
    """

    threshold_c: float
    words: str
    hours_per_winter: Band
    nights_per_winter: Band
    longest_run_nights: int


class WinterResult(ExportedResult):
    """The winter exposure of a spot."""

    plant: str | None
    limits: dict[str, LimitInfo | None]
    spot: str
    spot_kind: str
    spot_words: str
    spot_at: str
    members: int
    weather: WeatherInfo
    shown: str
    thresholds: list[ThresholdSum]
    nights: list[NightRow]
    winters: list[WinterRow]
    worst: list[NightRow]
    drift: DriftInfo | None
    sentence: str
    cautions: list[Caution]
    report: str | None
    files: list[str]
