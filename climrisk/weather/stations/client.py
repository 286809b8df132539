"""The only file that uses the network: the meteostat client, its silences made loud.

The client answers a failure with fewer rows or none and a line in its log. Here its log
is read during each call. A warning means that the hours may exist but could not be
downloaded (`WeatherUnavailableError`); only its word that the file was not found, which
it gives for HTTP status 404 alone and on level INFO, is an absence.
"""

from __future__ import annotations

import contextlib
import logging
import re
import sqlite3
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any, TypeVar

from climrisk.core import references
from climrisk.core.atomic_files import (
    move_into_place,
    remove_leftovers,
    temporary_beside,
)
from climrisk.core.errors import WeatherUnavailableError
from climrisk.core.paths import data_folder
from climrisk.core.references import by, off_page
from climrisk.core.version import __version__
from climrisk.weather.stations.archive import held
from climrisk.weather.stations.archive_file import StationYear
from climrisk.weather.stations.client_log import heard, settings, warnings_of
from climrisk.weather.stations.frame import year_of_frame
from climrisk.weather.stations.limited_http import DownloadLimit, Fetch, limited

Answer = TypeVar("Answer")

_LOCK = threading.RLock()
_STATION_LIST_DAYS = 7.0
_FORECAST_DAYS = 9
#: The tables of the station list and the columns asked of them.
_TABLES = (
    ("stations", "id, country, region, latitude, longitude, elevation, timezone"),
    ("names", "station, language, name"),
    ("identifiers", "station, key, value"),
    ("inventory", "station, provider, parameter, start, end, completeness"),
)
#: A year has some hundred kB, a forecast less; the station list some ten MB.
_ANSWER = DownloadLimit(seconds=60.0, size=8_000_000)
_LIST = DownloadLimit(seconds=300.0, size=300_000_000)
_NOT_FOUND = "was not found"
_NEXT = by(
    cli=f"try again later, use your own file ({references.field('file')}), or the "
    f"sample home ({references.field('demo')})",
    page="check the connection and try again, use your own logger's file, or look at "
    "the sample home",
    python="try again later, or use Weather.from_file or Weather.demo",
)
_NEXT_FORECAST = by(
    cli="try again later, or type what you heard: "
    + references.field("words", '"4, wind 6 km/h, clear"'),
    page="type the forecast instead: lowest temperature, wind, sky",
    python='try again later, or give what you heard: words="4, wind 6 km/h, clear"',
)


@dataclass
class Client:
    """The station archive on the network.

    Parameters
    ----------
    folder : Path, optional
        Where the station list is kept; the user's data folder where not given.
    tries : int
        Times a request is made before it counts as failed.
    timeout_s : float
        Without a byte.
    limit, list_limit : DownloadLimit
        Of an answer, and of the station list.
    sleep : callable
        Waits between tries.

    Attributes
    ----------
    failures : int
        Requests in a row that failed after all tries. After one, the next is tried
        only once; after two the archive counts as `down`: an outage shall not cost a
        long wait for every year, nor one broken file keep the others from refreshing.
    """

    folder: Path | None = None
    tries: int = 3
    timeout_s: float = 30.0
    limit: DownloadLimit = _ANSWER
    list_limit: DownloadLimit = _LIST
    sleep: Callable[[float], None] = time.sleep
    notes: list[str] = field(default_factory=list)
    failures: int = 0
    _checked: dict[tuple[int, int], bool] = field(default_factory=dict)

    @property
    def down(self) -> bool:
        """Whether asking again soon is likely to be in vain."""
        return self.failures >= 2

    def station_year(self, station: str, year: int) -> StationYear | None:
        """Return one UTC year of a station, or None where the archive has no file.

        Raises
        ------
        WeatherUnavailableError
            The file could not be read: no network, a server's error, a broken file.
        """
        return self._tried(
            lambda: self._ask(station, year), where=f"station {station}, {year}"
        )

    def forecast(
        self,
        latitude_deg: float,
        longitude_deg: float,
        elevation_m: float | None,
        now: datetime,
    ) -> Any:
        """Return the forecast of a place as the client's frame, by UTC time.

        Raises
        ------
        WeatherUnavailableError
            It could not be downloaded; a forecast is never absent.
        """
        where = f"forecast for {latitude_deg:g},{longitude_deg:g}"
        place = (latitude_deg, longitude_deg, elevation_m)
        return self._tried(lambda: self._ask_forecast(place, now), where=where)

    def _tried(self, ask: Callable[[], Answer], *, where: str) -> Answer:
        """Return an answer, asked for several times where need be."""
        trouble = ""
        fetch = Fetch(self.limit)
        for _ in self._attempts():
            try:
                with _LOCK, limited(fetch):
                    found = ask()
            except _AttemptError as error:
                trouble = str(error)
            else:
                self.failures = 0
                return found
        self.failures += 1
        raise WeatherUnavailableError(
            "the weather service cannot be reached",
            where=off_page(where),
            value=off_page(_plain(trouble)),
            next_step=_NEXT_FORECAST if where.startswith("forecast") else _NEXT,
        )

    def _attempts(self) -> Iterator[None]:
        """Give every attempt, after a longer wait each; one alone after a failure."""
        yield
        for further in range(0 if self.failures else self.tries - 1):
            self.sleep(2.0**further)
            yield

    def _ask(self, station: str, year: int) -> StationYear | None:
        """Ask once for a station-year; raise `_AttemptError` where that failed."""
        # The client takes naive times as UTC.
        first, last = datetime(year, 1, 1), datetime(year, 12, 31, 23)  # noqa: DTZ001
        with self._client() as (ms, records):
            try:
                series = ms.hourly(ms.Station(id=station), first, last)
                frame = series.fetch(sources=True)
                if frame is not None and not frame.empty and not warnings_of(records):
                    return year_of_frame(station, year, frame, series)
            except Exception as error:
                # Whatever the client makes of a broken file is an outage.
                raise _AttemptError(f"{type(error).__name__}: {error}") from error
        if warnings := warnings_of(records):
            raise _AttemptError(warnings[0])
        if any(_NOT_FOUND in record.getMessage() for record in records):
            return None
        raise _AttemptError("an answer without hours and without a reason")

    def _ask_forecast(
        self, place: tuple[float, float, float | None], now: datetime
    ) -> Any:
        """Ask once for a forecast; raise `_AttemptError` where that failed."""
        first = now.astimezone(UTC).replace(
            minute=0, second=0, microsecond=0, tzinfo=None
        )
        with (
            self._client() as (ms, records),
            settings(ms, metno_user_agent=f"climrisk/{__version__}"),
        ):
            try:
                series = ms.hourly(
                    ms.Point(*place),
                    first,
                    first + timedelta(days=_FORECAST_DAYS),
                    providers=[ms.Provider.METNO_FORECAST],
                )
                frame = series.fetch()
            except Exception as error:
                raise _AttemptError(f"{type(error).__name__}: {error}") from error
        if warnings := warnings_of(records):
            raise _AttemptError(warnings[0])
        if frame is None or frame.empty or frame["temp"].isna().all():
            raise _AttemptError("an answer without hours")
        frame.attrs["credit"] = str(series.attribution)
        return frame

    def stations_near(
        self, latitude_deg: float, longitude_deg: float, radius_m: float
    ) -> Any:
        """Return a frame of stations by distance, indexed by their ID."""
        with self._stations() as ms:
            point = ms.Point(latitude_deg, longitude_deg)
            return ms.stations.nearby(point, radius=int(radius_m), limit=40)

    def station(self, station: str) -> Any:
        """Return what is known of a station, or None."""
        with self._stations() as ms:
            return ms.stations.meta(station)

    def inventory(self, stations: list[str]) -> Any:
        """Return a frame (station, provider, parameter) of start, end, completeness.

        None where no station of these has any.
        """
        with self._stations() as ms:
            return ms.stations.inventory(stations).df

    @contextmanager
    def _client(self) -> Iterator[tuple[Any, list[logging.LogRecord]]]:
        """Give the client with a log that is read and a cache that forgets."""
        import meteostat as ms

        with (
            _LOCK,
            tempfile.TemporaryDirectory() as cache,
            heard(self.timeout_s) as ear,
            settings(
                ms,
                cache_directory=cache,
                cache_autoclean=False,
                cache_ttl=0,
                network_timeout=self.timeout_s,
                network_max_retries=0,
                block_large_requests=False,
            ),
        ):
            yield ms, ear

    @contextmanager
    def _stations(self) -> Iterator[Any]:
        """Give the client with a good station list."""
        path = self._station_list()
        try:
            with (
                self._client() as (ms, _),
                settings(ms, stations_db_file=str(path), stations_db_ttl=10**10),
            ):
                yield ms
        except sqlite3.Error as error:
            # A sound database may still hold text that is none.
            with contextlib.suppress(OSError):
                path.unlink(missing_ok=True)
            raise WeatherUnavailableError(
                "the station list is damaged",
                where=off_page("station list"),
                value=error,
                next_step="ask again: the list is fetched anew",
            ) from error

    def _station_list(self) -> Path:
        """Return the station list, fetched anew when it is a week old.

        A broken or failed download never replaces a good list.
        """
        folder = self.folder or data_folder()
        path = folder / "stations.db"
        with held(folder, ".stations.lock"):
            good = path.exists() and self._is_good(path)
            if (
                good
                and time.time() - path.stat().st_mtime < _STATION_LIST_DAYS * 86_400
            ):
                return path
            trouble = self._fetch_station_list(path)
            if trouble and not good:
                with contextlib.suppress(OSError):
                    path.unlink(missing_ok=True)
                raise WeatherUnavailableError(
                    "the weather service cannot be reached",
                    where=off_page("station list"),
                    value=off_page(_plain(trouble)),
                    next_step=_NEXT,
                )
            if trouble:
                self.notes.append(
                    "the station list is old: a newer one could not be downloaded"
                )
        return path

    def _fetch_station_list(self, path: Path) -> str:
        """Fetch the list beside its place; return what went wrong, or nothing."""
        trouble = "no answer"
        fetch = Fetch(self.list_limit)
        for _ in self._attempts():
            fresh = temporary_beside(path)
            try:
                with (
                    self._client() as (ms, _),
                    limited(fetch),
                    settings(ms, stations_db_file=str(fresh)),
                ):
                    ms.stations.query("SELECT COUNT(*) FROM stations")
                if _is_station_list(fresh):
                    move_into_place(fresh, path)
                    remove_leftovers(path.parent, "stations.new")
                    self.failures = 0
                    return ""
                trouble = "the file was broken"
            except Exception as error:
                trouble = str(error) or type(error).__name__
            finally:
                with contextlib.suppress(OSError):
                    fresh.unlink(missing_ok=True)
        self.failures += 1
        return trouble

    def _is_good(self, path: Path) -> bool:
        """Check the list once for each state of the file: it takes time."""
        stat = path.stat()
        key = (stat.st_mtime_ns, stat.st_size)
        if key not in self._checked:
            self._checked[key] = _is_station_list(path)
        return self._checked[key]


def _plain(trouble: str) -> str:
    """Return what went wrong without the address that was asked."""
    text = re.sub(r"'?https?://\S+", "the service", trouble)
    return text.split(" (att")[0].split(" with url")[0]


class _AttemptError(Exception):
    """Why one request failed."""


def _is_station_list(path: Path) -> bool:
    """Return whether a file is a whole database with what is asked of it."""
    try:
        with closing(sqlite3.connect(path)) as db:
            if db.execute("PRAGMA quick_check").fetchone()[0] != "ok":
                return False
            for table, columns in _TABLES:
                # Names from the constant above, nothing a user typed.
                db.execute(f"SELECT {columns} FROM {table} LIMIT 1").fetchone()
            return bool(db.execute("SELECT COUNT(*) FROM stations").fetchone()[0])
    except sqlite3.Error:
        return False
