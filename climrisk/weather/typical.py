"""Typical years: EPW, TMY2 and TMY3. Their months were stitched from several years.

The hours keep the order of the file and are wrapped to one growing year, so that a
winter is whole; the years they carry are nominal.
"""

from __future__ import annotations

import warnings
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from climrisk.errors import InputError
from climrisk.folders import shown_name
from climrisk.weather.series import Place, Source, WeatherSeries

Float = NDArray[np.floating]

_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def read_epw(
    path: Path, *, measured_at: Literal["spot", "station"] | None = None
) -> WeatherSeries:
    """Return an EPW file as a typical year."""
    from pvlib import iotools

    data, meta = _read(path, lambda: iotools.read_epw(str(path)), "EPW")
    columns = {
        "air_temp_c": ("temp_air", 99.0, 1.0),
        "dew_point_c": ("temp_dew", 99.0, 1.0),
        "rel_humidity_pct": ("relative_humidity", 900.0, 1.0),
        "wind_speed_m_s": ("wind_speed", 900.0, 1.0),
        "cloud_cover_frac": ("total_sky_cover", 99.0, 0.1),
        "ghi_w_m2": ("ghi", 9999.0, 1.0),
    }
    hour = data["hour"].to_numpy(int) - 1
    place = Place(
        str(meta["city"]),
        float(meta["latitude"]),
        float(meta["longitude"]),
        float(meta["altitude"]),
        fixed_zone(float(meta["TZ"]), path),
    )
    month, day = data["month"].to_numpy(int), data["day"].to_numpy(int)
    return _typical(path, "EPW", data, columns, (month, day, hour), place, measured_at)


def read_tmy3(
    path: Path, *, measured_at: Literal["spot", "station"] | None = None
) -> WeatherSeries:
    """Return a TMY3 file as a typical year."""
    from pvlib import iotools

    data, meta = _read(
        path, lambda: iotools.read_tmy3(str(path), map_variables=False), "TMY3"
    )
    columns = {
        "air_temp_c": ("Dry-bulb (C)", 99.0, 1.0),
        "dew_point_c": ("Dew-point (C)", 99.0, 1.0),
        "rel_humidity_pct": ("RHum (%)", 900.0, 1.0),
        "wind_speed_m_s": ("Wspd (m/s)", 900.0, 1.0),
        "cloud_cover_frac": ("TotCld (tenths)", 99.0, 0.1),
        "ghi_w_m2": ("GHI (W/m^2)", 9900.0, 1.0),
    }
    stamps = data["Date (MM/DD/YYYY)"].str.split("/", expand=True).astype(int)
    hour = data["Time (HH:MM)"].str.slice(0, 2).astype(int).to_numpy() - 1
    place = Place(
        str(meta["Name"]).strip('"'),
        float(meta["latitude"]),
        float(meta["longitude"]),
        float(meta["altitude"]),
        fixed_zone(float(meta["TZ"]), path),
    )
    parts = (stamps[0].to_numpy(), stamps[1].to_numpy(), hour)
    return _typical(path, "TMY3", data, columns, parts, place, measured_at)


def read_tmy2(
    path: Path, *, measured_at: Literal["spot", "station"] | None = None
) -> WeatherSeries:
    """Return a TMY2 file as a typical year; it holds tenths of its units."""
    from pvlib import iotools

    with warnings.catch_warnings():
        # The reader's own housekeeping; what it reads is checked below.
        warnings.simplefilter("ignore")
        data, meta = _read(path, lambda: iotools.read_tmy2(str(path)), "TMY2")
    columns = {
        "air_temp_c": ("DryBulb", 9999.0, 0.1),
        "dew_point_c": ("DewPoint", 9999.0, 0.1),
        "rel_humidity_pct": ("RHum", 999.0, 1.0),
        "wind_speed_m_s": ("Wspd", 999.0, 0.1),
        "cloud_cover_frac": ("TotCld", 99.0, 0.1),
        "ghi_w_m2": ("GHI", 9999.0, 1.0),
    }
    place = Place(
        str(meta["City"]).strip().title(),
        float(meta["latitude"]),
        float(meta["longitude"]),
        float(meta["altitude"]),
        fixed_zone(float(meta["TZ"]), path),
    )
    month, day, hour = (data[c].to_numpy(int) for c in ("month", "day", "hour"))
    parts = (month, day, hour - 1)
    return _typical(path, "TMY2", data, columns, parts, place, measured_at)


def _read(path: Path, reader: Any, kind: str) -> Any:
    try:
        return reader()
    except (ValueError, KeyError, IndexError, TypeError) as error:
        raise InputError(
            f"the file begins like {kind} but cannot be read",
            where=str(path),
            value=str(error),
            next_step="download it again or give another file",
        ) from error


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
    if offset_h != int(offset_h) or not -12 <= offset_h <= 14:
        raise InputError(
            "unknown time zone in the header", where=str(path), value=offset_h
        )
    return f"Etc/GMT{-int(offset_h):+d}" if offset_h else "Etc/GMT"


def _typical(
    path: Path,
    kind: str,
    data: Any,
    columns: dict[str, tuple[str, float, float]],
    parts: tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]],
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
    for name, (column, missing, scale) in columns.items():
        if column not in data:
            continue
        raw = data[column].to_numpy(float)
        full = np.full(length, np.nan)
        full[where] = np.where(raw >= missing, np.nan, raw * scale)
        values[name] = full
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
    days = sum(_DAYS[: month - 1]) + (1 if leap and month > 2 else 0)
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
    from climrisk.seasons import standard_offset_min

    return standard_offset_min(place.zone, 2002)
