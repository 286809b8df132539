"""Logger tables: delimiter, columns, numbers and dates told from the content."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError
from climrisk.weather.clocks import Clock, to_utc
from climrisk.weather.hours import hourly
from climrisk.weather.marks import possible_only
from climrisk.weather.series import Place, Source, WeatherSeries
from climrisk.weather.stamps import DateOrder, read_stamps

if TYPE_CHECKING:
    import pandas as pd

Float = NDArray[np.floating]

#: Values that loggers write for "no reading".
_SENTINELS = (-9999.0, -999.0, -99.9, -99.0, 999.9, 9999.0)
_DELIMITERS = (";", "\t", "|", ",")


@dataclass(frozen=True)
class Column:
    """A column of the table that we read.

    Parameters
    ----------
    index : int
    header : str
    name : str
        Of `climrisk.variables`.
    unit : str or None
        As the header states it; None where it does not.
    """

    index: int
    header: str
    name: str
    unit: str | None


_WORDS: tuple[tuple[str, str], ...] = (
    ("dew_point_c", r"dew|tau\s?punkt|point de ros|rugiada|rosi"),
    ("rel_humidity_pct", r"humid|\brh\b|rel\.?\s?h|feuchte|umidit|humedad|vlag"),
    ("wind_gust_m_s", r"gust|böe|raffica|rafale"),
    ("wind_speed_m_s", r"wind|\bws\b|vento|vjetar"),
    ("cloud_cover_frac", r"cloud|okta|sky cover"),
    ("ghi_w_m2", r"radiation|solar|\bghi\b|w/m|shortwave"),
    ("air_temp_c", r"temp|°\s?[cf]\b|\bt\b|deg\s?[cf]\b|celsius|fahrenheit"),
)
_NOT_AIR = re.compile(r"direction|richtung|soil|water|battery|max|min|id\b|index", re.I)
_TIME = re.compile(
    r"time|date|zeit|datum|stamp|ora\b|data\b|vrijeme|hour|utc|gmt", re.I
)


def read_logger(
    path: Path,
    text: str,
    *,
    place: Place | None,
    temperature_unit: Literal["c", "f"] | None,
    date_order: DateOrder | None,
    clock: Clock | None,
    measured_at: Literal["spot", "station"],
) -> WeatherSeries:
    """Return the hours of a logger table; see `climrisk.weather.files.read_weather`."""
    header, frame = _table(path, text)
    time_columns, columns, notes = _columns(path, header, frame)
    if place is None:
        raise InputError(
            "a logger table does not say where it hung",
            where=str(path),
            allowed="--at LAT,LON[,ELEVATION] beside --file",
            next_step="its seasons, nights and clock need the place",
        )
    told = read_stamps(
        [frame[i] for i in time_columns], header, time_columns, date_order, path
    )
    good = ~np.isnat(told.stamps)
    if not good.any():
        raise InputError(
            "no time stamp could be read",
            where=str(path),
            value=frame[time_columns[0]].iloc[0],
        )
    notes += told.notes(int((~good).sum()))
    stamps = told.stamps[good]
    if told.utc:
        words = "stamps carry their own offset"
    else:
        stamps, words = to_utc(stamps, clock, place.zone, where=str(path))
    notes.append(f"clock: {words}")
    values: dict[str, Float] = {}
    for column in columns:
        numbers, lost = _numbers(frame[column.index])
        if lost:
            notes.append(
                f"{lost:,} readings of “{column.header}” were marks or text, so missing"
            )
        numbers = numbers[good]
        converted = _converted(column, numbers, temperature_unit, stamps, place, path)
        values[column.name], note = possible_only(
            column.name, converted, where=f"{path}, column “{column.header}”"
        )
        if note:
            notes.append(note)
    time, hours, more = hourly(stamps, values, place)
    source = Source("logger", path.name, "", measured_at)
    return WeatherSeries.build(
        time, hours, place=place, source=source, notes=(*notes, *more)
    )


def _table(path: Path, text: str) -> tuple[list[str], pd.DataFrame]:
    """Return the header and the rows as text, one column a field."""
    import pandas as pd

    lines = text.splitlines()
    delimiter = _delimiter(lines)
    rows = [next(csv.reader([line], delimiter=delimiter), []) for line in lines[:60]]
    width = max((len(r) for r in rows), default=0)
    start = next(
        (
            i
            for i, r in enumerate(rows)
            if len(r) >= max(2, width - 1) and _has_numbers(r)
        ),
        None,
    )
    if start is None or width < 2:
        raise InputError(
            "no table of readings found",
            where=str(path),
            value=lines[0][:60],
            allowed="a time column and a temperature column, separated by , ; tab or |",
        )
    header = _header(rows, start, width)
    body = "\n".join(line for line in lines[start:] if line.strip())
    frame = pd.read_csv(
        io.StringIO(body),
        sep=delimiter,
        header=None,
        names=range(width),
        dtype=str,
        keep_default_na=False,
        skipinitialspace=True,
        on_bad_lines="skip",
    )
    return header, frame


def _delimiter(lines: list[str]) -> str:
    """Return the delimiter that splits the lines most evenly into fields."""
    sample = [line for line in lines[:60] if line.strip()]
    best, score = ",", 0.0
    for mark in _DELIMITERS:
        counts = [
            len(next(csv.reader([line], delimiter=mark), [])) - 1 for line in sample
        ]
        usual = int(np.median(counts))
        even = sum(c == usual for c in counts) / len(counts) if counts else 0
        if usual >= 1 and even * min(usual, 3) > score and even > 0.5:
            # A decimal comma also splits evenly, so the rarer marks are tried first.
            best, score = mark, even * min(usual, 3) + (1.0 if mark != "," else 0.0)
    return best


def _has_numbers(row: list[str]) -> bool:
    numeric = sum(bool(re.fullmatch(r"\s*-?\d+([.,]\d+)?\s*", cell)) for cell in row)
    dated = any(
        re.search(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|^\d{9,13}$", c) for c in row
    )
    return dated or numeric >= 2


def _header(rows: list[list[str]], start: int, width: int) -> list[str]:
    for row in reversed(rows[:start]):
        if len(row) >= 2:
            return [c.strip() for c in row] + [""] * (width - len(row))
    return [""] * width


def _columns(
    path: Path, header: list[str], frame: pd.DataFrame
) -> tuple[list[int], list[Column], list[str]]:
    times = [
        i
        for i, name in enumerate(header)
        if _TIME.search(name) and _looks_dated(frame[i])
    ]
    if not times:
        times = [i for i in range(len(header)) if _looks_dated(frame[i])]
    times = times[:2]
    if not times:
        raise InputError(
            "no time column found",
            where=str(path),
            value=", ".join(h for h in header if h) or None,
            allowed="a column of dates and times, or one of each",
        )
    columns: dict[str, Column] = {}
    notes = []
    for i, name in enumerate(header):
        if i in times:
            continue
        kind = next((k for k, words in _WORDS if re.search(words, name, re.I)), None)
        if kind is None or (
            _NOT_AIR.search(name) and kind in ("air_temp_c", "wind_speed_m_s")
        ):
            continue
        if kind in columns:
            notes.append(
                f"column “{name}” left aside: “{columns[kind].header}” is used"
            )
            continue
        columns[kind] = Column(i, name, kind, unit_of(name))
    if "air_temp_c" not in columns:
        raise InputError(
            "no temperature column found",
            where=str(path),
            value=", ".join(h for h in header if h) or None,
            allowed="a column whose header says temperature, °C or °F",
            next_step="name the column in the file's header",
        )
    return times, list(columns.values()), notes


def _looks_dated(column: pd.Series) -> bool:
    sample = [str(v) for v in column.iloc[:20]]
    pattern = r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}|\d{1,2}:\d{2}|^\s*1[0-9]{9}(\d{3})?\s*$"
    return sum(bool(re.search(pattern, v)) for v in sample) > len(sample) / 2


def unit_of(header: str) -> str | None:
    """Return the unit that a header states, or None."""
    text = header.lower()
    for unit, pattern in (
        ("f", r"°\s?f\b|\bdeg\s?f\b|fahrenheit|[\[(_\s]f[\])]?$|tempf\b"),
        ("c", r"°\s?c\b|\bdeg\s?c\b|celsius|[\[(_\s]c[\])]?$|tempc\b"),
        ("km/h", r"km\s?/\s?h|kmh|kph"),
        ("mph", r"mph|mi/h"),
        ("kn", r"\bkn\b|\bkt\b|knot"),
        ("m/s", r"m\s?/\s?s|m s-1"),
        ("okta", r"okta"),
        ("%", r"%"),
    ):
        if re.search(pattern, text):
            return unit
    return None


def _numbers(column: pd.Series) -> tuple[Float, int]:
    """Return a column as numbers and how many readings were marks or text."""
    import pandas as pd

    text = column.str.strip()
    if (
        text.str.contains(",", regex=False).any()
        and not text.str.contains(r"\.\d", regex=True).any()
    ):
        text = text.str.replace(",", ".", regex=False)
    text = text.str.replace(r"\s*(°?\s?[CF]|%)$", "", regex=True)
    numbers = pd.to_numeric(text, errors="coerce").to_numpy(float, copy=True)
    numbers[np.isin(numbers, _SENTINELS)] = np.nan
    return numbers, int(np.isnan(numbers).sum())


def _converted(
    column: Column,
    numbers: Float,
    asked: Literal["c", "f"] | None,
    stamps: NDArray[np.datetime64],
    place: Place,
    path: Path,
) -> Float:
    if column.name in ("air_temp_c", "dew_point_c"):
        unit = asked or column.unit
        if unit not in ("c", "f"):
            unit = _guessed(numbers, stamps, place, path)
        return (numbers - 32.0) / 1.8 if unit == "f" else numbers
    if column.name in ("wind_speed_m_s", "wind_gust_m_s"):
        factor = {"km/h": 1 / 3.6, "mph": 0.44704, "kn": 0.514444, "m/s": 1.0}
        if column.unit not in factor:
            raise InputError(
                "the wind column does not say its unit",
                where=f"{path}, column “{column.header}”",
                allowed="m/s, km/h, mph or kn in the header",
            )
        return numbers * factor[column.unit]
    if column.name == "cloud_cover_frac":
        if column.unit == "okta":
            return numbers / 8.0
        return numbers / 100.0 if column.unit == "%" else numbers
    return numbers


def _guessed(
    numbers: Float, stamps: NDArray[np.datetime64], place: Place, path: Path
) -> Literal["c", "f"]:
    """Return Celsius where the numbers allow nothing else to be meant, or ask.

    Median summer nights above 45, or winter nights above 25 without heating, cannot
    be Celsius outdoors; they may be Fahrenheit, and the user is asked.
    """
    month = stamps.astype("datetime64[M]").astype(np.int64) % 12 + 1
    longitude_h = np.timedelta64(int(place.longitude_deg * 4), "m")
    hour = (stamps + longitude_h).astype("datetime64[h]").astype(np.int64) % 24
    night = (hour >= 22) | (hour < 5)
    warm = (6, 7, 8) if place.latitude_deg >= 0 else (12, 1, 2)
    cold = (12, 1, 2) if place.latitude_deg >= 0 else (6, 7, 8)
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
        allowed="--temperature-unit f or --temperature-unit c",
        next_step="say which",
    )
