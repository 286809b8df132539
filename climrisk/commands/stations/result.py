"""The result of ``climrisk stations``."""

from __future__ import annotations

from climrisk.commands.shared.result import CommandResult
from climrisk.render.document import Frozen


class StationRow(Frozen):
    """A station near a place, the best first."""

    id: str
    name: str
    country: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float | None
    zone: str
    distance_km: float | None
    coast_km: float | None
    first: str | None
    last: str | None
    reasons: list[str]


class ArchiveRow(Frozen):
    """A file of the archive; `state` is good, damaged, unreadable or set aside."""

    station: str
    year: int
    hours: int | None
    bytes: int
    fetched: str | None
    state: str


class StationsResult(CommandResult):
    """Stations near a place, or what the archive holds."""

    folder: str
    stations: list[StationRow]
    archive: list[ArchiveRow]
    removed: int
    notes: list[str]
    credit: str
