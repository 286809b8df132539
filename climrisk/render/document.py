"""Parts that every result shares."""

from __future__ import annotations

import json
from typing import Any, Literal

from pydantic import ConfigDict, Field

from climrisk.core.frozen import Frozen, MarkInfo
from climrisk.core.ranges import Band
from climrisk.render.provenance import Provenance


class Result(Frozen):
    """Base of the documents that commands print.

    `provenance` is null in Python, where the caller knows what was asked.
    """

    schema_version: Literal[1] = Field(default=1, alias="schema")
    command: str
    version: str
    provenance: Provenance | None = None

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        allow_inf_nan=False,
        populate_by_name=True,
        json_schema_serialization_defaults_required=True,
        serialize_by_alias=True,
    )

    def to_json(self) -> str:
        """Return the document as JSON; unknown numbers are null."""
        return json.dumps(self.to_dict(), ensure_ascii=False, allow_nan=False, indent=1)

    def to_dict(self) -> dict[str, Any]:
        """Return the document as plain containers."""
        return self.model_dump(mode="json", by_alias=True)


class Assumed(Frozen):
    """A variable that the record lacks, and what stands in for it."""

    variable: str
    value: str
    spread: str
    why: str


class PlaceInfo(Frozen):
    """Where the weather was measured."""

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    zone: str


class StationAway(Frozen):
    """How far the station stands, what that adds to the spread, and which are next."""

    distance_km: float
    height_difference_m: float | None
    spread_k: float
    rough: bool
    others: list[str]


class WeatherInfo(Frozen):
    """What the weather is, how much of it is known, and whom to credit."""

    source: str
    kind: Literal["demo", "logger", "typical", "station", "forecast", "grid"]
    measured_at: Literal["spot", "station"]
    place: PlaceInfo
    first: str
    last: str
    hours_expected: int
    hours_known: int
    hours_modeled: int
    hours_filled: int
    coverage_frac: float
    resolution_c: float | None
    marks: list[MarkInfo]
    credit: str
    assumed: list[Assumed]
    station: StationAway | None
    notes: list[str]


class Range(Frozen):
    """Least and most that the unknown hours allow."""

    low: int
    high: int


class YearCount(Frozen):
    """Hours of one growing year."""

    label: str
    hours: int
    unknown_hours: int


class NightDrop(Frozen):
    """Day maximum minus the following night's lowest, over the nights that count."""

    mean_k: float | None
    p95_k: float | None
    nights: int


class DriftInfo(Frozen):
    """Trend and likeliest break of the winters' mean night minima.

    `kind` is what stands out at 5 % (Mann-Kendall; Pettitt), if anything does.
    """

    kind: Literal["none", "trend", "break"]
    k_per_decade: float
    p_trend: float
    break_in: str
    shift_k: float
    p_break: float
    words: str


class Caution(Frozen):
    """A short caution that the output must carry."""

    topic: str
    text: str


class SeasonBand(Frozen):
    """Night minima of a week of the growing year, over winters and members."""

    week: int
    starts: str
    low_c: float | None
    mid_c: float | None
    high_c: float | None
    coldest_c: float | None


__all__ = [
    "Assumed",
    "Band",
    "Caution",
    "Frozen",
    "MarkInfo",
    "NightDrop",
    "PlaceInfo",
    "Range",
    "Result",
    "SeasonBand",
    "WeatherInfo",
    "YearCount",
]
