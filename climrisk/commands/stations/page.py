"""Stations near a place as a sheet."""

from __future__ import annotations

from climrisk.commands.stations.result import StationsResult
from climrisk.render.page import Page, Section, Table


def stations_sheet(result: StationsResult) -> Page:
    """Return the stations near a place, the best first, and why."""
    table = Table(
        "The best first",
        ["station", "id", "km away", "height, m", "km from the sea", "from", "to"],
        [
            (
                s.name,
                s.id,
                "?" if s.distance_km is None else s.distance_km,
                "?" if s.elevation_m is None else s.elevation_m,
                "over 100" if s.coast_km is None else f"{s.coast_km:.0f}",
                s.first or "?",
                s.last or "?",
            )
            for s in result.stations
        ],
    )
    why = Table(
        "Why in this order",
        ["station", "because"],
        [(s.name, "; ".join(s.reasons)) for s in result.stations if s.reasons],
    )
    return Page(
        "Stations near",
        "",
        [
            Section(
                "Stations with hourly records",
                _sentence(result),
                reasons=result.notes,
                tables=[table, *([why] if why.rows else [])],
            )
        ],
        (),
        [result.credit, f"Made with climrisk {result.version}."],
    )


def _sentence(result: StationsResult) -> str:
    if not result.stations:
        return "No station with hourly records is near."
    best = result.stations[0]
    away = "" if best.distance_km is None else f", {best.distance_km:g} km away"
    return f"{best.name}{away}, comes first of {len(result.stations)}."
