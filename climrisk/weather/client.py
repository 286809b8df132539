"""The only file that uses the network: the meteostat client, its silences made loud.

The client answers a failure with fewer rows or none and a line in its log. Here its log
is read during each call: a warning means the hours exist but could not be had
(`WeatherUnavailable`), silence with no rows means that there is no such file.
"""

from __future__ import annotations

import logging
import socket
import sqlite3
import tempfile
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np

from climrisk.errors import WeatherUnavailable
from climrisk.folders import data_folder
from climrisk.weather.archive import StationYear

_LOCK = threading.RLock()
_COLUMNS = ("temp", "rhum", "wspd", "wpgt", "cldc")
_STATION_LIST_DAYS = 7.0
_NEXT = "try again later, or use --file or --demo meanwhile"


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
    sleep : callable
        Waits between tries.
    """

    folder: Path | None = None
    tries: int = 3
    timeout_s: float = 30.0
    sleep: Callable[[float], None] = time.sleep
    notes: list[str] = field(default_factory=list)

    def station_year(self, station: str, year: int) -> StationYear | None:
        """Return one UTC year of a station, or None where the archive has no file.

        Raises
        ------
        WeatherUnavailable
            The file could not be read: no network, a server's error, a broken file.
        """
        trouble = ""
        for attempt in range(self.tries):
            if attempt:
                self.sleep(2.0 ** (attempt - 1))
            with self._client() as (ms, heard):
                place = ms.Station(id=station)
                # The client takes naive times as UTC.
                first, last = datetime(year, 1, 1), datetime(year, 12, 31, 23)  # noqa: DTZ001
                series = ms.hourly(place, first, last)
                frame = series.fetch(sources=True)
                if not heard:
                    if frame is None or frame.empty:
                        return None
                    return _year(station, year, frame, series)
                trouble = heard[0].getMessage()
        raise WeatherUnavailable(
            "the weather archive could not be read",
            where=f"station {station}, {year}",
            value=trouble,
            next_step=_NEXT,
        )

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
        """Return a frame (station, provider, parameter) of start, end, completeness."""
        with self._stations() as ms:
            return ms.stations.inventory(stations).df

    @contextmanager
    def _client(self) -> Iterator[tuple[Any, list[logging.LogRecord]]]:
        """Give the client with a log that is read and a cache that forgets."""
        import meteostat as ms

        with (
            _LOCK,
            tempfile.TemporaryDirectory() as cache,
            _heard(self.timeout_s) as ear,
            _settings(
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
        with (
            self._client() as (ms, _),
            _settings(ms, stations_db_file=str(path), stations_db_ttl=10**10),
        ):
            yield ms

    def _station_list(self) -> Path:
        """Return the station list, fetched anew when it is a week old.

        A broken or failed download never replaces a good list.
        """
        from filelock import FileLock

        folder = self.folder or data_folder()
        folder.mkdir(parents=True, exist_ok=True)
        path = folder / "stations.db"
        with FileLock(folder / ".stations.lock", timeout=600):
            good = path.exists() and _is_station_list(path)
            if (
                good
                and time.time() - path.stat().st_mtime < _STATION_LIST_DAYS * 86_400
            ):
                return path
            trouble = self._fetch_station_list(path)
            if trouble and not good:
                path.unlink(missing_ok=True)
                raise WeatherUnavailable(
                    "the station list could not be had",
                    where="weather archive",
                    value=trouble,
                    next_step=_NEXT,
                )
            if trouble:
                self.notes.append(
                    "the station list is old: a newer one could not be had"
                )
        return path

    def _fetch_station_list(self, path: Path) -> str:
        """Fetch the list beside its place; return what went wrong, or nothing."""
        trouble = "no answer"
        for attempt in range(self.tries):
            if attempt:
                self.sleep(2.0 ** (attempt - 1))
            fresh = path.with_suffix(".new")
            fresh.unlink(missing_ok=True)
            try:
                with (
                    self._client() as (ms, _),
                    _settings(ms, stations_db_file=str(fresh)),
                ):
                    ms.stations.query("SELECT COUNT(*) FROM stations")
                if _is_station_list(fresh):
                    fresh.replace(path)
                    return ""
                trouble = "the file was broken"
            except Exception as error:
                trouble = str(error) or type(error).__name__
            finally:
                fresh.unlink(missing_ok=True)
        return trouble


def _is_station_list(path: Path) -> bool:
    try:
        with closing(sqlite3.connect(path)) as db:
            if db.execute("PRAGMA quick_check").fetchone()[0] != "ok":
                return False
            return bool(db.execute("SELECT COUNT(*) FROM stations").fetchone()[0])
    except sqlite3.Error:
        return False


@contextmanager
def _heard(timeout_s: float) -> Iterator[list[logging.LogRecord]]:
    """Collect the client's warnings and give its sockets a time-out."""
    log = logging.getLogger("meteostat")
    records: list[logging.LogRecord] = []
    ear = logging.Handler(logging.WARNING)
    ear.emit = records.append  # type: ignore[method-assign, assignment]
    spread, patience = log.propagate, socket.getdefaulttimeout()
    log.propagate = False
    log.addHandler(ear)
    socket.setdefaulttimeout(timeout_s)
    try:
        yield records
    finally:
        socket.setdefaulttimeout(patience)
        log.removeHandler(ear)
        log.propagate = spread


@contextmanager
def _settings(ms: Any, **changes: Any) -> Iterator[None]:
    """Change the client's settings and put them back."""
    before = {name: getattr(ms.config, name) for name in changes}
    try:
        for name, value in changes.items():
            setattr(ms.config, name, value)
        yield
    finally:
        for name, value in before.items():
            setattr(ms.config, name, value)


def _year(station: str, year: int, frame: Any, series: Any) -> StationYear:
    """Return a fetched frame as all hours of its year.

    The client's small integer columns wrap when calculated with: they become floats.
    """
    import pandas as pd

    if isinstance(frame.index, pd.MultiIndex):
        frame = frame.droplevel("station")
    index = pd.date_range(f"{year}-01-01", f"{year}-12-31 23:00", freq="h")
    frame = frame[~frame.index.duplicated()].reindex(index)
    columns = {
        name: frame[name].to_numpy(dtype=float, na_value=np.nan)
        for name in _COLUMNS
        if name in frame and frame[name].notna().any()
    }
    told = frame.get("temp_source")
    names: tuple[str, ...] = ()
    flags = np.full(len(index), -1, dtype=np.int8)
    if told is not None:
        text = told.astype("object").where(told.notna(), None)
        names = tuple(sorted({str(v) for v in text if v is not None}))
        number = {name: i for i, name in enumerate(names)}
        flags = np.array([number.get(str(v), -1) for v in text], dtype=np.int8)
    credit = str(series.attribution or "Meteostat")
    return StationYear(station, year, columns, names, flags, credit)
