"""Stations and the archive as words for a terminal."""

from __future__ import annotations

from climrisk.report.tables import table
from climrisk.result.stations import StationsResult


def stations_text(result: StationsResult) -> str:
    """Return stations near a place, or what the archive holds."""
    parts = []
    if result.stations:
        rows = [
            (
                *(s.id, s.name, s.country, s.distance_km, s.elevation_m),
                *(_sea(s.coast_km), s.first, s.last),
            )
            for s in result.stations
        ]
        header = ["id", "name", "", "km", "m", "from the sea", "first", "last"]
        parts.append(table(header, rows))
        parts += [f"{s.id}: {'; '.join(s.reasons)}." for s in result.stations[:3]]
    if result.archive:
        kept = [
            (a.station, str(a.year), a.hours, a.bytes, a.fetched or "?", a.state)
            for a in result.archive
        ]
        header = ["station", "year", "hours", "bytes", "fetched", "state"]
        parts.append(table(header, kept))
    if result.removed:
        parts.append(f"Removed {result.removed} files.")
    if not parts:
        parts.append(f"Nothing is kept in {result.folder}.")
    parts += [f"Note: {note}." for note in result.notes]
    parts.append(result.credit)
    return "\n\n".join(parts)


def _sea(distance: float | None) -> str:
    return "over 100 km" if distance is None else f"{distance:.0f} km"
