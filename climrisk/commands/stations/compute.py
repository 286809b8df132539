"""Stations near a place, and the archive, as a result."""

from __future__ import annotations

from climrisk.commands.stations.result import ArchiveRow, StationRow, StationsResult
from climrisk.core.errors import InputError
from climrisk.core.references import AT, STATION, TOWN, field
from climrisk.core.version import __version__
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.station import StationInfo, Stations, place_of

CREDIT = "Station list: Meteostat, CC BY 4.0. Towns: GeoNames, CC BY 4.0."


def stations(choice: WeatherChoice, *, count: int = 10) -> StationsResult:
    """Return the stations near a town or place, or one by its ID.

    Raises
    ------
    InputError
        No place was given, or an unknown one.
    WeatherUnavailableError
        The station list could not be downloaded and none is kept.
    """
    room = Stations()
    if choice.station is not None:
        found = [room.named(choice.station)]
    elif choice.at is not None or choice.town is not None:
        lat, lon, height = place_of(choice)
        found = room.near(lat, lon, height)[:count]
    else:
        raise InputError(
            "no place given",
            where="stations",
            allowed=f"{AT}, {TOWN}, {STATION} or {field('archive')}",
        )
    return _result(stations=found, notes=room.client.notes)


def archive(remove: str | None = None) -> StationsResult:
    """Return what the archive holds, each file checked; optionally remove a station."""
    store = Archive()
    gone = 0
    if remove is not None:
        with store.locked():
            gone = store.remove(remove)
        if gone == 0:
            raise InputError(
                "this station is not in the archive",
                where=field("remove"),
                value=remove,
            )
    rows = [ArchiveRow.model_validate(row) for row in store.listing()]
    return _result(archive=rows, removed=gone)


def _result(
    *,
    stations: list[StationInfo] | None = None,
    archive: list[ArchiveRow] | None = None,
    removed: int = 0,
    notes: list[str] | None = None,
) -> StationsResult:
    return StationsResult(
        command="stations",
        version=__version__,
        folder=str(Archive().folder),
        stations=[
            StationRow(
                id=s.id,
                name=s.name,
                country=s.country,
                latitude_deg=s.latitude_deg,
                longitude_deg=s.longitude_deg,
                elevation_m=s.elevation_m,
                zone=s.zone,
                distance_km=s.distance_km,
                coast_km=s.coast_km,
                first=s.first,
                last=s.last,
                reasons=list(s.reasons),
            )
            for s in stations or []
        ],
        archive=archive or [],
        removed=removed,
        notes=notes or [],
        credit=CREDIT,
    )
