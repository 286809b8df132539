"""Weather of a station: from our archive, completed from the network."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, timedelta
from typing import TYPE_CHECKING

import numpy as np

from climrisk.core import references
from climrisk.core.calendar import standard_offset_min
from climrisk.core.errors import InputError, WeatherUnavailableError
from climrisk.core.lookups import note
from climrisk.core.references import by
from climrisk.core.typed_text import typed
from climrisk.weather.series import Away, MarkCount, Origin, WeatherSeries
from climrisk.weather.stations.archive import Archive
from climrisk.weather.stations.archive_file import StationYear
from climrisk.weather.stations.client import Client
from climrisk.weather.stations.info import StationInfo, judged, spans_of, station_info
from climrisk.weather.stations.notes import YearNotes, is_old
from climrisk.weather.stations.progress import tell
from climrisk.weather.stations.series import (
    NoHoursError,
    series_of,
    winter_nights_known,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice

__all__ = ["StationInfo", "Stations", "load_chosen", "place_of"]

#: Growing years that are taken where the user does not say.
USUAL_YEARS = 30
_NEAR_M = 100_000.0
#: Stations whose hours are looked at for a place, and the share of winter nights that
#: makes looking on needless.
_TRIED, _ENOUGH = 4, 0.8

_NEAR = references.field("at", "LAT,LON")
_LOG = by(
    cli=f"log a few weeks at the spot and use {references.field('file')}",
    page="log a few weeks at the spot and add the file",
    python="log a few weeks at the spot and use Weather.from_file",
)


@dataclass(frozen=True)
class StationUsed:
    """A station whose hours were loaded, how many of them are known, and its flags.

    Parameters
    ----------
    label, credit, first, last : str
    hours_expected, hours_known, hours_modeled : int
    marks : tuple of MarkCount
        Readings taken out.
    """

    label: str
    credit: str
    first: str
    last: str
    hours_expected: int
    hours_known: int
    hours_modeled: int
    marks: tuple[MarkCount, ...]

    @classmethod
    def of(cls, info: StationInfo, series: WeatherSeries) -> StationUsed:
        """Return what is to be said of the hours of a station."""
        origin = series.origin
        return cls(
            f"{info.name} ({info.id})",
            series.source.credit,
            f"{series.time[0]}Z",
            f"{series.time[-1] + np.timedelta64(60, 'm')}Z",
            len(series),
            int((origin != Origin.MISSING).any(axis=1).sum()),
            int((origin == Origin.MODELED).any(axis=1).sum()),
            series.marks,
        )


@dataclass
class Stations:
    """Stations and their hours: network, archive, and what to say about both.

    Parameters
    ----------
    client, archive : Client, Archive
    now : datetime
        The clock: ages of archived files are counted from it.
    until : datetime, optional
        The last moment taken as known; `now` where not given or later.
    """

    client: Client = field(default_factory=Client)
    archive: Archive = field(default_factory=Archive)
    now: datetime = field(default_factory=lambda: datetime.now(UTC))
    until: datetime | None = None

    @property
    def known_until(self) -> datetime:
        """The last moment whose weather can be known."""
        return min(self.now, self.until or self.now)

    def near(
        self, latitude_deg: float, longitude_deg: float, elevation_m: float | None
    ) -> list[StationInfo]:
        """Return stations within 100 km, the best first, with reasons.

        Best is near, of like height, measured, and with a long record of hours: 100 m
        of height count as 10 km, each year short of ten as 10 km, and 2 km farther from
        the sea, up to 30 km of it, as 1 km (our estimates).
        """
        frame = self.client.stations_near(latitude_deg, longitude_deg, _NEAR_M)
        place = (latitude_deg, longitude_deg)
        frame = frame[~frame.index.duplicated()]
        ids = [str(i) for i in frame.index]
        spans = spans_of(self.client.inventory(ids)) if ids else {}
        found = [
            judged(station_info(str(key), row, spans[str(key)]), elevation_m, place)
            for key, row in frame.iterrows()
            if str(key) in spans
        ]
        return [info for _, info in sorted(found, key=lambda pair: pair[0])]

    def named(self, station: str) -> StationInfo:
        """Return a station by its ID, in capitals or not.

        Raises
        ------
        InputError
            No such station, or one known to have no hourly temperatures.
        """
        key = station.strip()
        # The client compares with LIKE, where % and _ stand for anything.
        meta = self.client.station(key) if re.fullmatch("[A-Za-z0-9-]+", key) else None
        if meta is None:
            raise InputError(
                "no such station",
                where=references.field("station"),
                value=station,
                allowed="an ID" + by(cli=f" as climrisk stations {_NEAR} lists them"),
            )
        spans = spans_of(self.client.inventory([key, key.upper()]))
        key = key if key in spans else key.upper()
        if key not in spans:
            raise InputError(
                "this station has no hourly temperatures",
                where=references.field("station"),
                value=station,
                next_step=by(cli=f"climrisk stations {_NEAR} lists those that have"),
            )
        row = {
            "name": meta.name,
            "country": meta.country,
            "latitude": meta.latitude,
            "longitude": meta.longitude,
            "elevation": meta.elevation,
            "timezone": meta.timezone,
        }
        return station_info(key, row, spans[key])

    def load(self, info: StationInfo, first_year: int, last_year: int) -> WeatherSeries:
        """Return the hours of a station from the archive and the network.

        Raises
        ------
        WeatherUnavailableError
            A year could not be downloaded and is not in the archive.
        InputError
            The archive on the network has no hours at all in these years.
        """
        year_notes = YearNotes()
        wanted = range(first_year, last_year + 1)
        years = [
            self._year(info, year, year_notes, f"year {n} of {len(wanted)}")
            for n, year in enumerate(wanted, start=1)
        ]
        series = series_of(info, first_year, years, until=self.known_until)
        notes = [*self.client.notes, *self.archive.notes, *year_notes.notes()]
        self.archive.notes.clear()
        note("station", info.id, StationUsed.of(info, series))
        return replace(series, notes=(*series.notes, *dict.fromkeys(notes)))

    def load_best(
        self,
        near: list[StationInfo],
        years_of: Callable[[StationInfo], tuple[int, int]],
    ) -> tuple[StationInfo, WeatherSeries]:
        """Return the first station that knows its winter nights, and its hours.

        Parameters
        ----------
        near : list of StationInfo
            The best first; four are looked at, at most.
        years_of : callable
            Gives the first and last calendar year to load of a station.

        Raises
        ------
        WeatherUnavailableError
            A station could not be downloaded. The next is not taken in its place: the
            answer must not depend on an outage.
        InputError
            None of them has hours in these years.
        """
        seen: list[tuple[float, StationInfo, WeatherSeries]] = []
        passed: list[str] = []
        for info in near[:_TRIED]:
            first, last = years_of(info)
            try:
                series = self.load(info, first, last)
            except NoHoursError:
                passed.append(f"{info.name} ({info.id}) passed over: no hours")
                continue
            share = winter_nights_known(series, first, last, until=self.known_until)
            seen.append((share, info, series))
            if share >= _ENOUGH:
                break
        if not seen:
            raise NoHoursError(
                "no station near has hours in these years",
                where=f"{references.field('at')} or {references.field('town')}",
                value=", ".join(info.id for info in near[:_TRIED]),
                next_step="give other years, or " + _LOG,
            )
        best, info, series = max(seen, key=lambda one: one[0])
        passed += [
            f"{other.name} ({other.id}) passed over: {share:.0%} of its winter nights "
            "are known"
            for share, other, _ in seen
            if other is not info
        ]
        notes = (f"{best:.0%} of the station's winter nights are known", *passed)
        return info, replace(series, notes=(*series.notes, *notes))

    def load_together(
        self,
        near: list[StationInfo],
        years_of: Callable[[StationInfo], tuple[int, int]],
        count: int,
        elevation_m: float | None,
    ) -> WeatherSeries:
        """Return the best stations as one record; see `combined`.

        Raises
        ------
        WeatherUnavailableError
            One of them could not be downloaded: the others do not stand in for it.
        InputError
            None has hours in these years, or one has no known height.
        """
        from climrisk.weather.stations.combined import combined

        found, passed = [], []
        for info in near:
            try:
                found.append((info, self.load(info, *years_of(info))))
            except NoHoursError:
                passed.append(f"{info.name} ({info.id}) passed over: no hours")
            if len(found) == count:
                break
        if not found:
            return self.load_best(near, years_of)[1]
        series = combined(found, elevation_m)
        return replace(series, notes=(*series.notes, *passed))

    def _year(
        self, info: StationInfo, year: int, notes: YearNotes, step: str
    ) -> StationYear | None:
        with self.archive.locked():
            stored = self.archive.read(info.id, year)
            if stored is not None and stored.known_hours == 0:
                stored = None  # a year that an earlier version kept without hours
            answer = self.archive.last_answer(info.id, year)
            if not is_old(info, year, stored, answer, now=self.now):
                notes.answered(year, stored, listed=info.lists(year))
                return stored
            absent = answer is not None and answer.is_absence
            if self.client.down and (stored is not None or absent):
                notes.not_refreshed(year, stored, answer)
                return stored
            tell(f"fetching {info.name}, {year} ({step})")
            try:
                fresh = self.client.station_year(info.id, year)
            except WeatherUnavailableError:
                if stored is None and not absent:
                    raise
                notes.not_refreshed(year, stored, answer)
                return stored
            best = self._keep(info.id, year, stored, fresh, notes)
            notes.answered(year, best, listed=info.lists(year))
            return best

    def _keep(
        self,
        station: str,
        year: int,
        stored: StationYear | None,
        fresh: StationYear | None,
        notes: YearNotes,
    ) -> StationYear | None:
        """Archive what the network gave; a full disk loses the copy, not the answer."""
        stamp = self.now.isoformat(timespec="seconds")
        try:
            if fresh is not None and fresh.known_hours:
                return self.archive.write(replace(fresh, fetched=stamp))
            answer = "no file" if fresh is None else "no temperatures"
            self.archive.write_answer(station, year, answer, stamp)
        except OSError as error:
            notes.not_stored(year, error)
            known = [one for one in (fresh, stored) if one is not None]
            return max(known, key=lambda one: one.known_hours, default=None)
        return stored


#: Stations told besides the one taken.
_SHOWN = 2


def load_chosen(
    choice: WeatherChoice, stations: Stations | None = None
) -> WeatherSeries:
    """Return the weather of the chosen town, place or station."""
    room = stations or Stations()

    def years_of(info: StationInfo) -> tuple[int, int]:
        return _years(info, choice)

    if choice.station is not None:
        info = room.named(choice.station)
        room.until = _until(choice, info)
        return room.load(info, *years_of(info))
    lat, lon, height = place_of(choice)
    near = room.near(lat, lon, height)
    if not near:
        raise InputError(
            "no station with hourly temperatures within 100 km",
            where=references.field("at") if choice.at else references.field("town"),
            value=f"{lat:g},{lon:g}",
            next_step=_LOG,
        )
    room.until = _until(choice, near[0])
    if choice.combine is not None and choice.combine > 1:
        series = room.load_together(near, years_of, choice.combine, height)
    else:
        info, series = room.load_best(near, years_of)
        series = replace(series, away=_away(info, near, height))
    return replace(series, notes=(*_town_notes(choice), *series.notes))


def _away(info: StationInfo, near: list[StationInfo], height: float | None) -> Away:
    """Return how far the station stands, and which stand next in order."""
    known = height is not None and info.elevation_m is not None
    others = [other for other in near if other is not info][:_SHOWN]
    return Away(
        info.distance_km or 0.0,
        (info.elevation_m or 0.0) - (height or 0.0) if known else None,
        tuple(f"{o.name} ({o.id}): {', '.join(typed(o.reasons))}" for o in others),
    )


def _until(choice: WeatherChoice, info: StationInfo) -> datetime | None:
    """Return the end of the day that counts as today, by the station's clock."""
    if choice.as_of is None:
        return None
    day = datetime(choice.as_of.year, choice.as_of.month, choice.as_of.day, tzinfo=UTC)
    offset = standard_offset_min(info.zone, day.year)
    return day + timedelta(hours=23, minutes=-offset)


def _town_notes(choice: WeatherChoice) -> list[str]:
    if choice.at is not None or choice.town is None:
        return []
    from climrisk.weather.towns import find_town

    town = find_town(choice.town)
    where = f"{town.latitude_deg:g},{town.longitude_deg:g}"
    return [f"town taken: {town.name}, {town.country} ({where})", *town.notes]


def place_of(choice: WeatherChoice) -> tuple[float, float, float | None]:
    """Return latitude, longitude and height (or None) of the chosen place."""
    if choice.at is not None:
        lat, lon, *height = choice.at
        return lat, lon, height[0] if height else None
    from climrisk.weather.towns import find_town

    town = find_town(choice.town or "")
    return town.latitude_deg, town.longitude_deg, None


def _years(info: StationInfo, choice: WeatherChoice) -> tuple[int, int]:
    """Return the calendar years to load: a growing year may span two."""
    today: date = choice.today
    last = int((info.last or "9999")[:4])
    if last >= today.year - 2:
        last = today.year  # a station that still reports: the inventory lags behind
    if choice.last is not None:
        last = min(last, choice.last.year)
    last = min(last, today.year)
    listed = int((info.first or "1900")[:4])
    first = max(listed, last - (choice.years or USUAL_YEARS) - 1)
    if choice.first is not None:
        first = max(listed, choice.first.year)
    return min(first, last), last
