"""Weather chosen alike everywhere: demo, file, town, place or station."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Literal

import numpy as np

from climrisk.core import validation
from climrisk.core.calendar import as_date, growing_year_start, known_zone
from climrisk.core.defaults import STATIONS, YEARS
from climrisk.core.errors import InputError
from climrisk.core.lookups import note, noting
from climrisk.core.references import AT, HOME, STATION, TOWN, by, field
from climrisk.weather.series import Place, WeatherSeries
from climrisk.weather.tables.logger import LoggerTable, TableFormat

#: Days that can be asked for: no hourly record is older, and dates must not overflow.
_FIRST, _LAST = date(1800, 1, 1), date(2200, 12, 31)


@dataclass(frozen=True)
class WeatherChoice:
    """What the options of a command, or a home file, say about the weather.

    Parameters
    ----------
    demo, file, town, at, station
        One of them is given; `at` may stand beside `file` to say where a logger hung.
    combine : int, optional
        So many stations near the town or place, taken together.
    fill : bool
        Fill longer gaps of a logger from the best station near it.
    years : int, optional
        Only the last complete growing years.
    first, last : date, optional
        Only these local standard dates.
    zone, as_of, temperature_unit, date_order, clock, column, measured_at
        As the options of the same names.

    Raises
    ------
    InputError
        An unknown zone, or a number or date out of range.
    """

    demo: bool = False
    file: Path | None = None
    town: str | None = None
    at: tuple[float, ...] | None = None
    station: str | None = None
    combine: int | None = None
    fill: bool = False
    years: int | None = None
    first: date | None = None
    last: date | None = None
    zone: str | None = None
    as_of: date | None = None
    temperature_unit: Literal["c", "f"] | None = None
    date_order: Literal["dmy", "mdy", "ymd"] | None = None
    clock: Literal["local", "standard", "utc"] | None = None
    column: str | None = None
    measured_at: Literal["spot", "station"] | None = None

    def __post_init__(self) -> None:
        if self.zone is not None:
            known_zone(self.zone)
        for option, what, bounds in (
            ("years", "years", YEARS),
            ("combine", "stations", STATIONS),
        ):
            count = getattr(self, option)
            if count is not None:
                where = f"--{option}"
                validation.number_in(
                    count, *bounds, what=f"number of {what}", where=where
                )
        days = {
            field("from_"): self.first,
            field("to"): self.last,
            field("as_of"): self.as_of,
        }
        for option, day in days.items():
            if day is not None and not _FIRST <= day <= _LAST:
                raise InputError(
                    "date out of range",
                    where=option,
                    value=day,
                    allowed=f"{_FIRST} to {_LAST}",
                )

    @property
    def today(self) -> date:
        """The day that counts as today."""
        return self.as_of or datetime.now(UTC).date()


def parse_at(text: str, *, where: str = field("at")) -> tuple[float, ...]:
    """Return (lat, lon) or (lat, lon, elevation) from ``LAT,LON[,ELEVATION]``."""
    parts = text.replace(" ", "").split(",")
    try:
        numbers = tuple(float(p) for p in parts)
    except ValueError:
        numbers = ()
    if len(numbers) not in (2, 3):
        raise InputError(
            "place not understood",
            where=where,
            value=text,
            allowed="LAT,LON or LAT,LON,ELEVATION in decimal degrees and meters",
            next_step="write for example 45.2,14.6,18",
        )
    validation.latitude(numbers[0], where=where)
    validation.longitude(numbers[1], where=where)
    if len(numbers) == 3:
        validation.elevation(numbers[2], where=where)
    return numbers


#: The last few weathers of a process that answers again and again, and the stations
#: behind each; empty elsewhere.
_HELD: dict[tuple[object, ...], tuple[WeatherSeries, dict[str, object]]] = {}
_MOST_HELD = 0


def hold_weather(most: int) -> None:
    """Keep the last few weathers in memory; a file that changes is read again."""
    global _MOST_HELD
    _MOST_HELD = most
    _HELD.clear()


def load_weather(choice: WeatherChoice) -> WeatherSeries:
    """Return the chosen weather.

    Raises
    ------
    InputError
        None or more than one weather chosen, dates in the future, or nothing left.
    WeatherUnavailableError
        A station whose hours cannot be downloaded now.
    """
    _one_of(choice)
    _no_future(choice)
    if not _MOST_HELD:
        return _load(choice)
    key = (choice, choice.today, _stamp(choice.file))
    held = _HELD.pop(key, None)
    if held is None:
        with noting() as notes:
            held = _load(choice), notes["station"]
    else:
        for name, station in held[1].items():
            note("station", name, station)
    _HELD[key] = held
    while len(_HELD) > _MOST_HELD:
        del _HELD[next(iter(_HELD))]
    return held[0]


def _stamp(file: Path | None) -> tuple[int, int] | None:
    try:
        state = None if file is None else file.stat()
    except OSError:
        return None
    return None if state is None else (state.st_mtime_ns, state.st_size)


def _load(choice: WeatherChoice) -> WeatherSeries:
    if choice.demo:
        series = _demo(choice)
    elif choice.file is not None:
        series = _filled(_file(choice), choice)
    else:
        series = _station(choice)
    return _cut(series, choice)


def _one_of(choice: WeatherChoice) -> None:
    given = [
        name
        for name, there in (
            (field("demo"), choice.demo),
            (field("file"), choice.file is not None),
            (field("town"), choice.town is not None),
            (field("station"), choice.station is not None),
            (field("at"), choice.at is not None and choice.file is None),
        )
        if there
    ]
    if len(given) != 1:
        raise InputError(
            "no weather chosen" if not given else "more than one weather chosen",
            where=" ".join(given) or "options",
            allowed=f"one of {field('demo')}, {field('file', 'PATH')}, {TOWN}, {AT}, "
            f"{STATION}, or {HOME}",
            next_step=by(
                cli=f"to try, add {field('demo')}", python="to try, Weather.demo()"
            ),
        )
    if choice.fill and (choice.file is None or choice.at is None):
        raise InputError(
            "only a logger's gaps are filled from a station",
            where=field("fill"),
            allowed=f"{field('file', 'PATH')} {field('at', 'LAT,LON')} {field('fill')}",
        )
    if choice.combine is None:
        return
    if given[0] not in (field("town"), field("at")) and not choice.fill:
        raise InputError(
            "only stations near a town or place can be combined",
            where=field("combine"),
            value=given[0],
            allowed=f"{field('town')} or {field('at')}",
        )


def _no_future(choice: WeatherChoice) -> None:
    today = choice.today
    for option, day in ((field("from_"), choice.first), (field("to"), choice.last)):
        if day is not None and day > today:
            raise InputError(
                "date in the future",
                where=option,
                value=day.isoformat(),
                allowed=f"up to {today.isoformat()}",
                next_step=f"give dates that have been, or another {field('as_of')}",
            )
    if choice.first and choice.last and choice.first > choice.last:
        raise InputError(
            f"{field('from_')} lies after {field('to')}",
            where=field("from_"),
            value=choice.first.isoformat(),
            allowed=f"up to {choice.last.isoformat()}",
        )


def _demo(choice: WeatherChoice) -> WeatherSeries:
    from climrisk.weather.synthetic import demo_weather

    return _moved(demo_weather(), choice)


def _file(choice: WeatherChoice) -> WeatherSeries:
    from climrisk.weather.files import read_weather

    if choice.file is None:
        msg = "no file"
        raise ValueError(msg)
    return read_weather(
        choice.file,
        place=place_of(choice),
        temperature_unit=choice.temperature_unit,
        date_order=choice.date_order,
        clock=choice.clock,
        column=choice.column,
        measured_at=choice.measured_at,
    )


def _filled(logger: WeatherSeries, choice: WeatherChoice) -> WeatherSeries:
    """Return a logger's record, its longer gaps filled from a station where asked."""
    if not choice.fill:
        return logger
    from climrisk.weather.learned import filled_from

    first, last = (as_date(int(d)) for d in logger.seasons().day[[0, -1]])
    beside = replace(
        choice, file=None, fill=False, years=None, first=first, last=last, zone=None
    )
    series, _ = filled_from(logger, _station(beside))
    return series


def load_logger(choice: WeatherChoice) -> tuple[LoggerTable, WeatherSeries]:
    """Return a logger's table as it was understood, and its hours.

    Raises
    ------
    InputError
        No file, no logger's table, or what it leaves open, as a question.
    """
    from climrisk.weather.files import read_table

    if choice.file is None:
        raise InputError(
            "no file given",
            where="logger",
            allowed=by(
                cli=f"climrisk logger FILE {field('at', 'LAT,LON')}", page="a file"
            ),
        )
    specified = TableFormat(
        choice.temperature_unit, choice.date_order, choice.clock, choice.column
    )
    table = read_table(choice.file, place=place_of(choice), specified=specified)
    series = _cut(table.series(choice.measured_at or "spot"), choice)
    return table, series


def located(choice: WeatherChoice) -> WeatherChoice:
    """Return a choice whose town says where its file was measured.

    Raises
    ------
    InputError
        An unknown town, or one of several of that name.
    """
    if choice.file is None or choice.town is None or choice.at is not None:
        return choice
    from climrisk.weather.towns import find_town

    town = find_town(choice.town)
    at = (town.latitude_deg, town.longitude_deg)
    return replace(choice, town=None, at=at)


def place_of(choice: WeatherChoice) -> Place | None:
    """Return where a logger hung, as ``--at`` says; None where it was not told."""
    if choice.at is None:
        return None
    lat, lon, *height = choice.at
    zone = choice.zone or zone_of(lat, lon)
    return Place(f"{lat:g}, {lon:g}", lat, lon, height[0] if height else None, zone)


def zone_of(latitude_deg: float, longitude_deg: float) -> str:
    """Return the IANA time zone of a place."""
    import tzfpy

    return str(tzfpy.get_tz(longitude_deg, latitude_deg))


def _station(choice: WeatherChoice) -> WeatherSeries:
    from climrisk.weather.stations.station import load_chosen

    return _moved(load_chosen(choice), choice)


def _moved(series: WeatherSeries, choice: WeatherChoice) -> WeatherSeries:
    """Apply --zone and --measured-at to a record that brings its own."""
    from dataclasses import replace

    if choice.zone:
        series = replace(series, place=replace(series.place, zone=choice.zone))
    if choice.measured_at and choice.measured_at != series.source.measured_at:
        source = replace(series.source, measured_at=choice.measured_at)
        series = replace(series, source=source)
    return series


def _cut(series: WeatherSeries, choice: WeatherChoice) -> WeatherSeries:
    if choice.first or choice.last:
        series = _between_dates(series, choice)
    if choice.years is not None and not series.typical:
        series = _last_years(series, choice.years)
    return series


def _between_dates(series: WeatherSeries, choice: WeatherChoice) -> WeatherSeries:
    day = series.seasons().day
    keep = np.ones(len(series), dtype=bool)
    if choice.first:
        keep &= day >= (choice.first - date(1970, 1, 1)).days
    if choice.last:
        keep &= day <= (choice.last - date(1970, 1, 1)).days
    rows = np.flatnonzero(keep)
    if len(rows) == 0:
        raise InputError(
            f"no hour of the record lies between {field('from_')} and {field('to')}",
            where=series.source.label,
            allowed=f"{series.time[0]} to {series.time[-1]} UTC",
        )
    return series.between(int(rows[0]), int(rows[-1]) + 1)


def _last_years(series: WeatherSeries, count: int) -> WeatherSeries:
    seasons = series.seasons()
    year = seasons.growing_year
    years, hours = np.unique(year, return_counts=True)
    whole = []
    for y, n in zip(years, hours, strict=True):
        start = growing_year_start(int(y), north=seasons.north)
        end = growing_year_start(int(y) + 1, north=seasons.north)
        if n == (end - start).days * 24:
            whole.append(int(y))
    if not whole:
        raise InputError(
            "the record holds no complete growing year",
            where=series.source.label,
            value=f"{series.time[0]} to {series.time[-1]} UTC",
            allowed="July to June (north) or January to December (south)",
            next_step=f"leave out {field('years')} to use all hours there are",
        )
    first = whole[max(0, len(whole) - count)]
    rows = np.flatnonzero((year >= first) & (year <= whole[-1]))
    return series.between(int(rows[0]), int(rows[-1]) + 1)
