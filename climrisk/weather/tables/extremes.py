"""A keeper's table of dates, each with the lowest and the highest reading."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core import validation
from climrisk.core.arrays import Float
from climrisk.core.errors import InputError
from climrisk.core.paths import shown_name
from climrisk.core.references import field
from climrisk.weather.tables.columns import looks_dated, unit_of
from climrisk.weather.tables.dialect import dialect_of, split
from climrisk.weather.tables.logger import TableFormat
from climrisk.weather.tables.stamps import read_stamps
from climrisk.weather.tables.table import read_rows

_LOWEST = re.compile(r"\b(min|minimum|low|lowest|tmin|tn)\b", re.I)
_HIGHEST = re.compile(r"\b(max|maximum|high|highest|tmax|tx)\b", re.I)
#: A median night above this was not in Celsius.
_NO_NIGHT_C = 45.0


@dataclass(frozen=True)
class DailyExtremes:
    """Readings of a min-max thermometer, one row a day.

    Parameters
    ----------
    evening : ndarray of int, shape (night,)
        Evening of the night that the minimum belongs to, days since 1970-01-01.
    lowest_c : ndarray, shape (night,)
        NaN where it was not read. [°C]
    day : ndarray of int, shape (night,)
        Date that the maximum belongs to.
    highest_c : ndarray, shape (night,)
    label : str
    notes : tuple of str
    """

    evening: NDArray[np.int64]
    lowest_c: Float
    day: NDArray[np.int64]
    highest_c: Float
    label: str
    notes: tuple[str, ...]


def is_extremes(text: str, path: Path) -> bool:
    """Tell a table of dates, minima and maxima from a logger's table of moments."""
    lines = [line for line in text[:20_000].splitlines()[:60] if line.strip()]
    try:
        dialect = dialect_of(lines, path)
    except InputError:
        return False
    header = dialect.header
    low = [i for i, name in enumerate(header) if _LOWEST.search(name)]
    high = [i for i, name in enumerate(header) if _HIGHEST.search(name)]
    if len(low) != 1 or len(high) != 1:
        return False
    rows = [split(line, dialect.delimiter) for line in lines[dialect.start :]]
    return _date_column(header, rows) is not None


def read_extremes(
    path: Path,
    text: str,
    specified: TableFormat,
    *,
    read: Literal["morning", "evening"],
) -> DailyExtremes:
    """Return the readings of a min-max thermometer.

    Parameters
    ----------
    path : Path
    text : str
        The whole file.
    specified : TableFormat
        Unit and order of dates, where the file does not say.
    read : {"morning", "evening"}
        When it was read and reset. The minimum is always that of the night before; the
        maximum that of the day before, or of the same day.

    Raises
    ------
    InputError
        No date, a date twice, a minimum above its maximum, or no clear unit.
    """
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = [line for line in text.splitlines() if line.strip()]
    dialect = dialect_of(lines[:60], path)
    sample = [split(line, dialect.delimiter) for line in lines[dialect.start :][:40]]
    date = _date_column(dialect.header, sample)
    low = next(i for i, name in enumerate(dialect.header) if _LOWEST.search(name))
    high = next(i for i, name in enumerate(dialect.header) if _HIGHEST.search(name))
    if date is None:
        raise InputError("no column of dates", where=str(path))
    body = "\n".join(lines) + "\n"
    rows = read_rows(path, body, dialect, [date], [low, high])
    stamped = read_stamps(
        [rows.text[date]], [dialect.header[date]], specified.date_order, path
    )
    good = ~np.isnat(stamped.stamps)
    stamps = stamped.stamps[good].astype("datetime64[D]").astype(np.int64)
    lowest, highest = rows.numbers[low][good], rows.numbers[high][good]
    _once(stamps, path)
    unit = specified.temperature_unit or _unit(dialect.header, (low, high))
    if unit is None:
        if np.nanmedian(lowest) > _NO_NIGHT_C:
            raise InputError(
                "the table does not say its unit, and Celsius cannot be",
                where=str(path),
                value=f"a middle minimum of {np.nanmedian(lowest):.0f}",
                allowed=field("temperature_unit", "c or f"),
            )
        unit = "c"
    if unit == "f":
        lowest, highest = (lowest - 32) / 1.8, (highest - 32) / 1.8
    for values in (lowest, highest):
        validation.hourly_values("air_temp_c", values, where=str(path))
    _in_order(stamps, lowest, highest, path)
    order = np.argsort(stamps)
    before = 1 if read == "morning" else 0
    notes = (
        f"{len(stamps)} readings of a min-max thermometer, taken as read in the {read}",
    )
    return DailyExtremes(
        stamps[order] - 1,
        lowest[order],
        stamps[order] - before,
        highest[order],
        shown_name(path),
        notes,
    )


def _date_column(header: tuple[str, ...], rows: list[list[str]]) -> int | None:
    for i in range(len(header)):
        cells = [r[i].strip() for r in rows[:20] if len(r) > i]
        if cells and looks_dated(cells) and not any(":" in c for c in cells):
            return i
    return None


def _unit(header: tuple[str, ...], columns: tuple[int, int]) -> str | None:
    for i in columns:
        unit = unit_of(header[i])
        if unit in ("c", "f"):
            return unit
    return None


def _once(stamps: NDArray[np.int64], path: Path) -> None:
    found, counts = np.unique(stamps, return_counts=True)
    if (counts > 1).any():
        day = np.datetime64(int(found[np.argmax(counts > 1)]), "D")
        raise InputError(
            "a date is there twice",
            where=str(path),
            value=str(day),
            allowed="one row a day",
            next_step="remove one of both rows",
        )


def _in_order(
    stamps: NDArray[np.int64], lowest: Float, highest: Float, path: Path
) -> None:
    wrong = lowest > highest
    if wrong.any():
        row = int(np.argmax(wrong))
        raise InputError(
            "a minimum above its maximum",
            where=f"{path}, {np.datetime64(int(stamps[row]), 'D')}",
            value=f"{lowest[row]:g} and {highest[row]:g} °C",
            allowed="minimum up to maximum",
            next_step="correct the row",
        )
