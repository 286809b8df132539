"""Stations and the archive as words for a terminal."""

from __future__ import annotations

from climrisk.commands.stations.result import StationRow, StationsResult
from climrisk.core.quantities import DISTANCE, HEIGHT
from climrisk.core.wording import plural
from climrisk.render.answer import Answer, Part, Rows, Words, sentence_case
from climrisk.render.display_units import quantity
from climrisk.render.tables import table


def stations_answer(result: StationsResult) -> Answer:
    """Return the best station near a place, or what is kept here."""
    parts: list[Part] = []
    if result.stations:
        best = result.stations[0]
        headline = f"Best station: {best.name}, {best.country} ({best.id})"
        parts.append(Words(sentence_case("; ".join(best.reasons))))
        rows = [
            (s.id, s.name, _away(s), f"{s.first or '?'} to {s.last or '?'}")
            for s in result.stations
        ]
        head = ("id", "name", "away", "record")
        parts.append(Rows(rows, header=head, rank=1, least=3, what="more station"))
    elif result.archive:
        stations = {a.station for a in result.archive}
        years = plural(len(result.archive), "year")
        headline = f"{plural(len(stations), 'station')} kept, {years}"
        bad = [
            f"{a.station} {a.year}: {a.state}"
            for a in result.archive
            if a.state != "good"
        ]
        parts.append(
            Words(f"Not good: {'; '.join(bad)}." if bad else "All of it is good.")
        )
    else:
        headline = "Nothing is stored on this machine yet."
    if result.removed:
        parts.append(Words(f"Removed {plural(result.removed, 'file')}.", tight=True))
    parts += [Words(sentence_case(n), rank=2) for n in result.notes]
    parts.append(Words(result.credit, rank=1))
    return Answer(headline, parts, "reasons, each file")


def _away(row: StationRow) -> str:
    away = "?" if row.distance_km is None else quantity(DISTANCE, row.distance_km)
    return (
        away
        if row.elevation_m is None
        else f"{away}, {quantity(HEIGHT, row.elevation_m, 0)} high"
    )


def stations_text(result: StationsResult) -> str:
    """Return in full stations near a place, or what the archive holds."""
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
        archived = [
            (a.station, str(a.year), a.hours, a.bytes, a.fetched or "?", a.state)
            for a in result.archive
        ]
        header = ["station", "year", "hours", "bytes", "fetched", "state"]
        parts.append(table(header, archived))
    if result.removed:
        parts.append(f"Removed {result.removed} files.")
    if not parts:
        parts.append(f"Nothing is stored in {result.folder}.")
    parts += [f"Note: {note}." for note in result.notes]
    parts.append(result.credit)
    return "\n\n".join(parts)


def _sea(distance: float | None) -> str:
    return (
        f"over {quantity(DISTANCE, 100)}"
        if distance is None
        else quantity(DISTANCE, distance, 0)
    )
