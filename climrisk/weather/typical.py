"""Typical years: EPW, TMY2 and TMY3. Their months were stitched from several years.

The hours keep the order of the file and are wrapped to one growing year, so that a
winter is whole; the years they carry are nominal.
"""

from __future__ import annotations

import io
import math
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import MONTH_DAYS
from climrisk.core.errors import InputError
from climrisk.core.paths import shown_name
from climrisk.weather.files import read_text
from climrisk.weather.series import Place, Source, WeatherSeries
from climrisk.weather.typical_cells import epw_cells, explained, tmy2_cells, tmy3_cells

Columns = dict[str, Float]
#: Month, day and hour from 0.
Dates = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]


def read_epw(
    path: Path, *, measured_at: Literal["spot", "station"] | None = None
) -> WeatherSeries:
    """Return an EPW file as a typical year."""
    from pvlib import iotools

    text = read_text(path)
    columns = {
        "air_temp_c": ("temp_air", 99.0, 1.0),
        "dew_point_c": ("temp_dew", 99.0, 1.0),
        "rel_humidity_pct": ("relative_humidity", 900.0, 1.0),
        "wind_speed_m_s": ("wind_speed", 900.0, 1.0),
        "cloud_cover_frac": ("total_sky_cover", 99.0, 0.1),
        "ghi_w_m2": ("ghi", 9999.0, 1.0),
    }
    with explained(path, "EPW", epw_cells(text)):
        data, meta = iotools.read_epw(io.StringIO(text))
        values = _values(data, columns)
        parts = _dates(data["month"], data["day"], data["hour"] - 1)
        place = _place(path, meta, "city")
    return _typical(path, "EPW", values, parts, place, measured_at)


def read_tmy3(
    path: Path, *, measured_at: Literal["spot", "station"] | None = None
) -> WeatherSeries:
    """Return a TMY3 file as a typical year."""
    from pvlib import iotools

    text = read_text(path)
    columns = {
        "air_temp_c": ("Dry-bulb (C)", 99.0, 1.0),
        "dew_point_c": ("Dew-point (C)", 99.0, 1.0),
        "rel_humidity_pct": ("RHum (%)", 900.0, 1.0),
        "wind_speed_m_s": ("Wspd (m/s)", 900.0, 1.0),
        "cloud_cover_frac": ("TotCld (tenths)", 99.0, 0.1),
        "ghi_w_m2": ("GHI (W/m^2)", 9900.0, 1.0),
    }
    with explained(path, "TMY3", tmy3_cells(text)):
        data, meta = iotools.read_tmy3(io.StringIO(text), map_variables=False)
        values = _values(data, columns)
        stamps = data["Date (MM/DD/YYYY)"].str.split("/", expand=True).astype(int)
        hour = data["Time (HH:MM)"].str.slice(0, 2).astype(int) - 1
        parts = _dates(stamps[0], stamps[1], hour)
        place = _place(path, meta, "Name")
    return _typical(path, "TMY3", values, parts, place, measured_at)


def read_tmy2(
    path: Path, *, measured_at: Literal["spot", "station"] | None = None
) -> WeatherSeries:
    """Return a TMY2 file as a typical year; it holds tenths of its units."""
    from pvlib import iotools

    columns = {
        "air_temp_c": ("DryBulb", 9999.0, 0.1),
        "dew_point_c": ("DewPoint", 9999.0, 0.1),
        "rel_humidity_pct": ("RHum", 999.0, 1.0),
        "wind_speed_m_s": ("Wspd", 999.0, 0.1),
        "cloud_cover_frac": ("TotCld", 99.0, 0.1),
        "ghi_w_m2": ("GHI", 9999.0, 1.0),
    }
    with explained(path, "TMY2", tmy2_cells(read_text(path))):
        data, meta = iotools.read_tmy2(str(path))
        values = _values(data, columns)
        parts = _dates(data["month"], data["day"], data["hour"] - 1)
        place = _place(path, {**meta, "City": str(meta["City"]).title()}, "City")
    return _typical(path, "TMY2", values, parts, place, measured_at)


def _values(data: Any, columns: dict[str, tuple[str, float, float]]) -> Columns:
    """Return the columns that are there in our units; unknown is NaN."""
    values = {}
    for name, (column, missing, scale) in columns.items():
        if column in data:
            raw = data[column].to_numpy(float)
            values[name] = np.where(raw >= missing, np.nan, raw * scale)
    return values


def _dates(month: Any, day: Any, hour: Any) -> Dates:
    """Return month, day and hour from 0 as whole numbers.

    Raises
    ------
    ValueError
        One of them is no whole number or out of range.
    """
    ranges = ((month, 1, 12), (day, 1, 31), (hour, 0, 23))
    for column, low, high in ranges:
        if not column.between(low, high).all():
            msg = "a date out of range"
            raise ValueError(msg)
    whole = [column.to_numpy().astype(np.int64) for column, _, _ in ranges]
    return whole[0], whole[1], whole[2]


def _place(path: Path, meta: dict[str, Any], name: str) -> Place:
    return Place(
        str(meta[name]).strip().strip('"'),
        float(meta["latitude"]),
        float(meta["longitude"]),
        float(meta["altitude"]),
        fixed_zone(float(meta["TZ"]), path),
    )


def fixed_zone(offset_h: float, path: Path) -> str:
    """Return a time zone name of a fixed offset, as the file states it.

    Whole hours are ``Etc/GMT-1`` and the like; the half and quarter hours in use get
    a zone that has them without summer time.
    """
    odd = {
        3.5: "Asia/Tehran",
        4.5: "Asia/Kabul",
        5.5: "Asia/Kolkata",
        5.75: "Asia/Kathmandu",
        6.5: "Asia/Yangon",
        8.75: "Australia/Eucla",
        9.5: "Australia/Darwin",
        -3.5: "America/St_Johns",
        -9.5: "Pacific/Marquesas",
    }
    if offset_h in odd:
        return odd[offset_h]
    if (
        not math.isfinite(offset_h)
        or offset_h != int(offset_h)
        or not -12 <= offset_h <= 14
    ):
        raise InputError(
            "unknown time zone in the header", where=str(path), value=offset_h
        )
    return f"Etc/GMT{-int(offset_h):+d}" if offset_h else "Etc/GMT"


def _typical(
    path: Path,
    kind: str,
    columns: Columns,
    parts: Dates,
    place: Place,
    measured_at: Literal["spot", "station"] | None,
) -> WeatherSeries:
    """Place the file's hours in one growing year, each exactly once."""
    month, day, hour = parts
    north = place.latitude_deg >= 0
    leap = bool(((month == 2) & (day == 29)).any())
    slot = _slots(month, day, hour, leap=leap)
    length = 24 * (366 if leap else 365)
    _in_order(path, slot, length)
    first = slot_of(7, leap) if north else 0
    where = (slot - first) % length
    values = {}
    for name, column in columns.items():
        values[name] = np.full(length, np.nan)
        values[name][where] = column
    start = _nominal_start(north=north, leap=leap)
    offset = _offset_min(place)
    time = (
        start
        - np.timedelta64(offset, "m")
        + np.arange(length) * np.timedelta64(60, "m")
    )
    notes = [f"a typical year ({kind}): its months come from different years"]
    if len(slot) < length:
        notes.append(f"{length - len(slot):,} of {length:,} hours are absent")
    source = Source(
        "typical",
        f"{place.name}, typical year ({shown_name(path)})",
        "",
        measured_at or "station",
    )
    return WeatherSeries.build(
        time, values, place=place, source=source, notes=tuple(notes)
    )


def slot_of(month: int, leap: bool) -> int:  # noqa: FBT001 - one plain question
    """Return the hour of the year at which a month begins."""
    days = sum(MONTH_DAYS[: month - 1]) + (1 if leap and month > 2 else 0)
    return 24 * days


def _slots(
    month: NDArray[np.int64],
    day: NDArray[np.int64],
    hour: NDArray[np.int64],
    *,
    leap: bool,
) -> NDArray[np.int64]:
    starts = np.array([slot_of(m, leap) for m in range(1, 13)])
    out: NDArray[np.int64] = starts[month - 1] + 24 * (day - 1) + hour
    return out


def _in_order(path: Path, slot: NDArray[np.int64], length: int) -> None:
    steps = np.diff(slot)
    bad = np.flatnonzero(steps <= 0)
    outside = (slot < 0) | (slot >= length)
    if len(bad) or outside.any():
        row = int(bad[0]) + 1 if len(bad) else int(np.flatnonzero(outside)[0])
        raise InputError(
            "hours out of order or twice",
            where=f"{path}, hour {row + 1} of the file",
            allowed="January to December, each hour once",
        )


def _nominal_start(*, north: bool, leap: bool) -> np.datetime64:
    """Return the first hour of a nominal growing year of the right length."""
    if north:
        return np.datetime64("2003-07-01T00:00" if leap else "2001-07-01T00:00", "m")
    return np.datetime64("2004-01-01T00:00" if leap else "2002-01-01T00:00", "m")


def _offset_min(place: Place) -> int:
    from climrisk.core.calendar import standard_offset_min

    return standard_offset_min(place.zone, 2002)
