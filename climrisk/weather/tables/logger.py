"""Logger tables: everything about them told from the content, or asked."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.errors import InputError
from climrisk.core.paths import shown_name
from climrisk.core.references import AT, field
from climrisk.weather.hours import Hours, hourly
from climrisk.weather.quality_flags import Marks, believable, possible_only, together
from climrisk.weather.rounding import resolution_c
from climrisk.weather.series import Place, Source, WeatherSeries
from climrisk.weather.tables.clocks import Clock, to_utc
from climrisk.weather.tables.columns import (
    TableColumn,
    time_columns,
    unit_in_cells,
    value_columns,
)
from climrisk.weather.tables.dialect import HEAD_LINES, Dialect, dialect_of, split
from climrisk.weather.tables.stamps import DateOrder, read_stamps
from climrisk.weather.tables.table import TableRows, read_rows

#: No logger's record is longer, and no station's file that is read as one.
_MOST_YEARS = 100


@dataclass(frozen=True)
class TableFormat:
    """What the user says of a file; None lets the file tell."""

    temperature_unit: Literal["c", "f"] | None = None
    date_order: DateOrder | None = None
    clock: Clock | None = None
    column: str | None = None


@dataclass(frozen=True)
class LoggerTable:
    """A logger's table as it was understood.

    Parameters
    ----------
    path : Path
    dialect : Dialect
    columns : list of TableColumn
        With the unit that was used.
    clock : str
        The clock its stamps kept, in words.
    rows : int
        Rows of the file.
    seconds : ndarray of int, shape (reading,)
        UTC, rising, each time once.
    readings, believed : dict of str to ndarray, shape (reading,)
        In our units, before and after marks took some out.
    marks : Marks
    hours : Hours
    place : Place
    notes : list of str
    """

    path: Path
    dialect: Dialect
    columns: list[TableColumn]
    clock: str
    rows: int
    seconds: NDArray[np.int64]
    readings: dict[str, Float]
    believed: dict[str, Float]
    marks: Marks
    hours: Hours
    place: Place
    notes: list[str]

    def series(self, measured_at: Literal["spot", "station"]) -> WeatherSeries:
        """Return its hours as weather."""
        closer = self.hours.step_s < 3600
        series = WeatherSeries.build(
            self.hours.time,
            self.hours.values,
            place=self.place,
            source=Source("logger", shown_name(self.path), "", measured_at),
            notes=(*self.notes, *self.marks.notes(), *self.hours.notes),
            marks=self.marks.tallied(),
        )
        return replace(
            series,
            lowest_c=self.hours.lowest["air_temp_c"] if closer else None,
            resolution_c=resolution_c(self.readings["air_temp_c"]),
        )


def read_logger(
    path: Path, text: str, *, place: Place | None, specified: TableFormat
) -> LoggerTable:
    """Return a logger's table; see `climrisk.weather.files.read_weather`.

    Raises
    ------
    InputError
        No table, no time, no temperature; or what the file leaves open, as a question.
    """
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    head = text[: 400 * HEAD_LINES].splitlines()[: 2 * HEAD_LINES]
    dialect = dialect_of([line for line in head if line.strip()] or head, path)
    dialect = _physical(dialect, head)
    sample = [split(line, dialect.delimiter) for line in head[dialect.start :]]
    sample = [row for row in sample if row]
    times = time_columns(dialect.header, sample, path)
    columns, notes = value_columns(dialect.header, times, specified.column, path)
    if place is None:
        raise InputError(
            "a logger table does not say where it was measured",
            where=str(path),
            allowed=f"{AT} beside {field('file')}",
            next_step="its seasons, nights and clock need the place",
        )
    rows = read_rows(path, text, dialect, times, [c.index for c in columns])
    if rows.skipped:
        notes.append(f"{rows.skipped:,} lines with another number of fields left out")
    head_read = _Head(path, dialect, times, columns, sample, notes)
    return _understood(head_read, rows, place, specified)


def _physical(dialect: Dialect, head: list[str]) -> Dialect:
    """Return the dialect with its first row counted with the blank lines before it."""
    filled = [i for i, line in enumerate(head) if line.strip()]
    return replace(dialect, start=filled[dialect.start] if filled else dialect.start)


@dataclass(frozen=True)
class _Head:
    """What the first lines of a table tell of all.

    Parameters
    ----------
    path : Path
    dialect : Dialect
    times : list of int
        Columns of the stamps.
    columns : list of TableColumn
        Of the readings.
    sample : list of list of str
        The first rows.
    notes : list of str
    """

    path: Path
    dialect: Dialect
    times: list[int]
    columns: list[TableColumn]
    sample: list[list[str]]
    notes: list[str]


def _understood(
    head: _Head, rows: TableRows, place: Place, specified: TableFormat
) -> LoggerTable:
    path, notes = head.path, list(head.notes)
    read = read_stamps(
        [rows.text[i] for i in head.times],
        [head.dialect.header[i] for i in head.times],
        specified.date_order,
        path,
    )
    good = ~np.isnat(read.stamps)
    if not good.any():
        raise InputError(
            "no time stamp could be read",
            where=str(path),
            value=rows.text[head.times[0]].iloc[0] if len(rows) else None,
        )
    notes += read.notes(int((~good).sum()))
    stamps = read.stamps[good]
    clock = "UTC, or an offset that the file states"
    if not read.utc:
        stamps, clock = to_utc(stamps, specified.clock, place.zone, where=str(path))
    notes.append(f"clock: {clock}")
    marks = Marks()
    seconds, keep = _rising(stamps, marks, path)
    values, used = {}, []
    for column in head.columns:
        numbers = rows.numbers[column.index][good]
        marks.add(column.name, "text", int(np.isnan(numbers).sum()))
        unit = column.unit or unit_in_cells(
            [r[column.index] for r in head.sample if len(r) > column.index]
        )
        values[column.name], unit = _converted(
            column, unit, numbers[keep], specified, seconds, place, path, marks
        )
        used.append(TableColumn(column.index, column.header, column.name, unit))
    believed = believable(seconds, values, place, marks)
    hours = hourly(seconds, believed, place)
    return LoggerTable(
        *(path, head.dialect, used, clock, len(rows)),
        *(seconds, values, believed, marks),
        *(hours, place, notes),
    )


def _rising(
    stamps: NDArray[np.datetime64], marks: Marks, path: Path
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return times in order, each once, and the rows they come from.

    Raises
    ------
    InputError
        The record reaches into the future, or over more years than a logger lives.
    """
    seconds = stamps.astype("datetime64[s]").astype(np.int64)
    marks.add("time", "disorder", int((np.diff(seconds) < 0).sum()))
    order = np.argsort(seconds, kind="stable")
    ordered = seconds[order]
    fresh = np.concatenate([[True], np.diff(ordered) > 0])
    marks.add("time", "duplicate", int((~fresh).sum()))
    ordered, order = ordered[fresh], order[fresh]
    bulk = together(ordered)
    marks.add("time", "stray", len(ordered) - int(bulk.sum()))
    ordered, order = ordered[bulk], order[bulk]
    years = (ordered[-1] - ordered[0]) / 31_557_600
    latest = np.datetime64(int(ordered[-1]), "s")
    if years > _MOST_YEARS or latest > np.datetime64("now") + np.timedelta64(2, "D"):
        raise InputError(
            "the readings run into the future"
            if years <= _MOST_YEARS
            else f"the readings run over {years:.0f} years",
            where=str(path),
            value=f"{np.datetime64(int(ordered[0]), 's')} to {latest}",
            next_step="look at the file's dates; was the logger's clock set?",
        )
    return ordered, order


def _converted(
    column: TableColumn,
    unit: str | None,
    numbers: Float,
    specified: TableFormat,
    seconds: NDArray[np.int64],
    place: Place,
    path: Path,
    marks: Marks,
) -> tuple[Float, str | None]:
    """Return a column in our unit, impossible readings marked, and its own unit."""
    where = f"{path}, column “{column.header}”"
    if column.name in ("air_temp_c", "dew_point_c"):
        unit = specified.temperature_unit or (unit if unit in ("c", "f") else None)
        if unit is None:
            unit = _guessed(numbers, seconds, place, path)
        numbers = (numbers - 32.0) / 1.8 if unit == "f" else numbers
    elif column.name in ("wind_speed_m_s", "wind_gust_m_s"):
        factor = {"km/h": 1 / 3.6, "mph": 0.44704, "kn": 0.514444, "m/s": 1.0}
        if unit not in factor:
            raise InputError(
                "the wind column does not say its unit",
                where=where,
                allowed="m/s, km/h, mph or kn in the header",
            )
        numbers = numbers * factor[unit]
    elif column.name == "cloud_cover_frac":
        numbers = numbers / {"okta": 8.0, "%": 100.0}.get(unit or "", 1.0)
    return possible_only(column.name, numbers, marks, where=where), unit


def _guessed(
    numbers: Float, seconds: NDArray[np.int64], place: Place, path: Path
) -> Literal["c", "f"]:
    """Return Celsius where the numbers allow nothing else to be meant, or ask.

    Median summer nights above 45, or winter nights above 25 without heating, cannot
    be Celsius outdoors; they may be Fahrenheit, and the user is asked.
    """
    local = seconds + int(place.longitude_deg * 240)
    month = local.astype("datetime64[s]").astype("datetime64[M]").astype(np.int64) % 12
    hour = local // 3600 % 24
    night = (hour >= 22) | (hour < 5)
    warm, cold = (5, 6, 7), (11, 0, 1)
    if place.latitude_deg < 0:
        warm, cold = cold, warm
    for months, most in ((warm, 45.0), (cold, 25.0)):
        values = numbers[night & np.isin(month, months) & np.isfinite(numbers)]
        if values.size and np.median(values) > most:
            raise _unit_question(path, float(np.median(values)))
    usual = numbers[np.isfinite(numbers)]
    if usual.size and np.median(usual) > 35.0:
        raise _unit_question(path, float(np.median(usual)))
    return "c"


def _unit_question(path: Path, typical: float) -> InputError:
    return InputError(
        "the temperatures look like °F, but the file does not say so",
        where=str(path),
        value=f"typically {typical:.0f}",
        allowed=f"{field('temperature_unit', 'f')} or {field('temperature_unit', 'c')}",
        next_step="say which",
    )
