"""The result of ``climrisk exposure``: the record as it is, no plant."""

from __future__ import annotations

from typing import Literal

from climrisk.commands.shared.result import CommandResult
from climrisk.render.document import (
    Frozen,
    NightDrop,
    Range,
    WeatherInfo,
    YearCount,
)


class Beyond(Frozen):
    """Hours beyond one threshold.

    Degree-hours are the step sum of the distance from the threshold. An unknown hour
    is in none of the counts; the longest run passes over it, and its range gives the
    run if unknown hours ended it (low) or joined it (high). `hours_range` is what the
    unknown hours allow.
    """

    hours: int
    hours_range: Range
    degree_hours: float
    longest_run_hours: int
    longest_run_hours_range: Range
    unknown_hours: int
    by_month: dict[str, int]
    unknown_by_month: dict[str, int]
    by_growing_year: list[YearCount]


class BelowTemperature(Beyond):
    """Hours below a temperature; nights are dated by their evening.

    `rounding_range` is what the record's own rounding allows: in whole degrees, a
    reading of 10 may have been anything from 9.5 to 10.5. Null where it is fine.
    """

    threshold_c: float
    inclusive: bool
    nights: int
    unknown_nights: int
    rounding_range: Range | None
    longest_run_nights: int
    longest_run_nights_range: Range


class AboveTemperature(Beyond):
    """Hours above a temperature."""

    threshold_c: float
    inclusive: bool


class BeyondOther(Beyond):
    """Hours beyond a humidity, vapor pressure deficit or wind."""

    variable: str
    side: Literal["below", "above"]
    threshold: float
    unit: str
    inclusive: bool


class ExposureResult(CommandResult):
    """Hours beyond thresholds of a record, by month and growing year."""

    weather: WeatherInfo
    lowest_c: float
    lowest_at: str
    lowest_reading_c: float | None
    highest_c: float
    below: list[BelowTemperature]
    above: list[AboveTemperature]
    humidity_below: list[BeyondOther]
    vpd_above: list[BeyondOther]
    wind_above: list[BeyondOther]
    night_drop: NightDrop
    sentence: str
