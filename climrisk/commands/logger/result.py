"""The result of ``climrisk logger``: what a file is, and what it is worth."""

from __future__ import annotations

from climrisk.commands.shared.result import ExportedResult
from climrisk.render.document import Frozen, WeatherInfo


class TableInfo(Frozen):
    """How the table is written."""

    rows: int
    delimiter: str
    decimal: str
    thousands: str | None
    first_line: int
    step_minutes: float
    clock: str


class ColumnInfo(Frozen):
    """A column that is read, with the unit that was used."""

    header: str
    variable: str
    unit: str | None
    readings: int


class MonthCover(Frozen):
    """What is known of one month of the record."""

    month: str
    hours: int
    hours_known: int
    nights: int
    nights_counted: int
    lowest_c: float | None
    highest_c: float | None
    marked: int


class DayRow(Frozen):
    """One local standard day."""

    date: str
    hours: int
    hours_known: int
    lowest_c: float | None
    highest_c: float | None
    marked: int


class LoggerResult(ExportedResult):
    """A logger's file as it was understood."""

    weather: WeatherInfo
    table: TableInfo
    columns: list[ColumnInfo]
    months: list[MonthCover]
    days: list[DayRow]
    nights: int
    nights_counted: int
    winters: int
    lowest_c: float
    lowest_reading_c: float | None
    highest_c: float
    sentence: str
    worth: list[str]
    files: list[str]
