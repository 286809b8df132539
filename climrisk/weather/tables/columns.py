"""Which column of a table holds what, and in which unit."""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

from climrisk.core.errors import InputError
from climrisk.core.references import field


@dataclass(frozen=True)
class TableColumn:
    """A column of a table that is read.

    Parameters
    ----------
    index : int
    header : str
    name : str
        Of `climrisk.core.variables`.
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
_NOT_AIR = re.compile(
    r"soil|water|battery|max|min|high|low\b|id\b|index|chill|feels",
    re.I,
)
#: Where the wind comes from, in the languages of loggers and stations; no speed.
_DIRECTION = re.compile(
    r"direc|direz|direç|richt|riktn|retning|smjer|kierun|(\b|_|wind)dir(\b|_)|\bwd\b"
    r"|°\s*[\])]?$|\bdeg(rees?)?\b",
    re.I,
)
_TIME = re.compile(
    r"time|date|zeit|datum|stamp|ora\b|data\b|vrijeme|hour|utc|gmt", re.I
)
_DATED = re.compile(
    r"\d{1,4}[-/.]\s?(\d{1,2}|[A-Za-z]{3,9})[-/.]\s?\d{1,4}|\d{1,2}:\d{2}"
    r"|^\s*1[0-9]{9}(\d{3})?(\.0+)?\s*$|^\s*(19|20)\d{6}([ T]?\d{4,6})?\s*$"
    r"|\d{1,2}[ -][A-Za-z]{3,9}[ -]\d{2,4}"
)
#: Days since 1899-12-30, as spreadsheets count them: 1954 to 2064.
_SERIAL = re.compile(r"\s*[2-5]\d{4}([.,]\d+)?\s*")


def time_columns(
    header: tuple[str, ...], rows: list[list[str]], path: Path
) -> list[int]:
    """Return the one or two columns that hold date and time.

    Raises
    ------
    InputError
        None does.
    """
    dated = [i for i in range(len(header)) if looks_dated(_cells(rows, i))]
    named = [i for i in dated if _TIME.search(header[i])]
    times = (named or dated)[:2]
    if len(times) == 2 and _whole(rows, times[0]):
        # A stamp that is whole needs no second; two clocks may stand side by side.
        times = times[:1]
    if len(times) == 1:
        times += _packed_times(header, rows, times[0])
    if times:
        return times
    for i, name in enumerate(header):
        if _TIME.search(name) and all(_SERIAL.fullmatch(c) for c in _cells(rows, i)):
            return [i]
    raise InputError(
        "no time column found",
        where=str(path),
        value=", ".join(h for h in header if h) or None,
        allowed="a column of dates and times, or one of each",
    )


def _packed_times(
    header: tuple[str, ...], rows: list[list[str]], date: int
) -> list[int]:
    """Return the column of times such as 1405 beside dates that have none."""
    if any(":" in c or len(c.strip()) > 10 for c in _cells(rows, date)):
        return []
    for i, name in enumerate(header):
        cells = _cells(rows, i)
        packed = all(re.fullmatch(r"\s*\d{3,6}\s*", c) for c in cells)
        if i != date and cells and packed and _TIME.search(name):
            return [i]
    return []


def _cells(rows: list[list[str]], i: int) -> list[str]:
    return [r[i] for r in rows[:20] if len(r) > i]


def looks_dated(sample: list[str]) -> bool:
    """Tell a column of dates or times of day."""
    return sum(bool(_DATED.search(v)) for v in sample) > len(sample) / 2


def _whole(rows: list[list[str]], i: int) -> bool:
    sample = _cells(rows, i)
    both = sum(bool(re.search(r"\d\D+\d{1,2}:\d{2}", v)) and ":" in v for v in sample)
    dated = sum(bool(re.search(r"[-/.]\s?\w+[-/.]", v)) for v in sample)
    compact = sum(bool(re.match(r"\s*\d{10,14}\s*$", v)) for v in sample)
    return min(both, dated) > len(sample) / 2 or compact > len(sample) / 2


def value_columns(
    header: tuple[str, ...], times: list[int], wanted: str | None, path: Path
) -> tuple[list[TableColumn], list[str]]:
    """Return the columns that are read, and notes on those left out.

    Parameters
    ----------
    header : tuple of str
    times : list of int
        Columns of date and time.
    wanted : str or None
        Header of the temperature column, where the user chooses one.
    path : Path
        For messages.

    Raises
    ------
    InputError
        No temperature column, or none of the name that is wanted.
    """
    columns: dict[str, TableColumn] = {}
    notes = []
    if wanted is not None:
        columns["air_temp_c"] = _chosen(header, times, wanted, path)
    for i, name in enumerate(header):
        if i in times or any(c.index == i for c in columns.values()):
            continue
        kind = next((k for k, words in _WORDS if re.search(words, name, re.I)), None)
        if kind is None or _is_other(name, kind):
            continue
        if kind in columns:
            chosen = (
                "" if kind != "air_temp_c" else f" ({field('column')} chooses another)"
            )
            notes.append(
                f"column “{name}” left out: “{columns[kind].header}” is used{chosen}"
            )
            continue
        columns[kind] = TableColumn(i, name, kind, unit_of(name))
    if "air_temp_c" not in columns:
        raise InputError(
            "no temperature column found",
            where=str(path),
            value=", ".join(h for h in header if h) or None,
            allowed="a column whose header says temperature, °C or °F",
            next_step="name the column in the file's header, or give "
            + field("column"),
        )
    return list(columns.values()), notes


def _is_other(header: str, kind: str) -> bool:
    """Return whether a header that names a variable means something beside it."""
    if kind.startswith("wind") and _DIRECTION.search(header):
        return True
    return bool(_NOT_AIR.search(header)) and kind in ("air_temp_c", "wind_speed_m_s")


def _chosen(
    header: tuple[str, ...], times: list[int], wanted: str, path: Path
) -> TableColumn:
    names = {h.lower(): i for i, h in enumerate(header) if h and i not in times}
    key = wanted.strip().lower()
    inside = [i for name, i in names.items() if key in name]
    index = names.get(key, inside[0] if len(inside) == 1 else None)
    if index is None:
        raise InputError(
            "no such column" if not inside else "more than one such column",
            where=f"{field('column')}, {path}",
            value=wanted,
            allowed=", ".join(h for i, h in enumerate(header) if h and i not in times),
        )
    return TableColumn(index, header[index], "air_temp_c", unit_of(header[index]))


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


def unit_in_cells(cells: list[str]) -> str | None:
    """Return the unit that the readings themselves carry, such as 21.4 °C."""
    for unit in ("c", "f"):
        pattern = rf"[-+]?\d+([.,]\d+)?\s*°?\s?{unit}"
        if cells and all(re.fullmatch(pattern, c.strip(), re.I) for c in cells):
            return unit
    return None
