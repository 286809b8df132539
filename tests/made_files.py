"""Weather files made for tests, each with its truth known."""

from __future__ import annotations

import numpy as np
import pandas as pd


def truth(start: str, hours: int, seed: int = 1) -> pd.Series:
    """Return hourly temperatures on a UTC index, to a tenth of a degree."""
    rng = np.random.default_rng(seed)
    index = pd.date_range(start, periods=hours, freq="h", tz="UTC")
    season = -np.cos(2 * np.pi * (index.day_of_year - 20) / 365.25)
    day = np.cos(2 * np.pi * (index.hour - 14) / 24)
    noise = np.convolve(rng.normal(0, 2, hours + 23), np.ones(24) / 24, "valid") * 4
    return pd.Series(np.round(14 + 8 * season + 4 * day + noise, 1), index=index)


def logger_csv(
    path,
    series: pd.Series,
    *,
    zone: str = "Europe/Zagreb",
    clock: str = "local",
    unit: str = "c",
    unit_in_header: bool = True,
    stamp: str = "%Y-%m-%d %H:%M",
    delimiter: str = ",",
    decimal: str = ".",
    two_columns: bool = False,
    humidity: float | None = 60.0,
    encoding: str = "utf-8",
    header_rows: int = 0,
):
    """Write a series as a logger's table and return the path."""
    index = series.index
    if clock == "local":
        shown = index.tz_convert(zone).tz_localize(None)
    elif clock == "standard":
        january = pd.Timestamp("2021-01-01", tz=zone).utcoffset()
        july = pd.Timestamp("2021-07-01", tz=zone).utcoffset()
        shown = index.tz_localize(None) + min(january, july)
    else:
        shown = index.tz_localize(None)
    values = series.to_numpy()
    digits = 1
    if unit == "f":
        values, digits = values * 1.8 + 32, 2
    name = "Temperature" + (f" (°{unit.upper()})" if unit_in_header else "")
    stamps = [t.strftime(stamp) for t in shown]
    rows = []
    for i, (text, value) in enumerate(zip(stamps, values, strict=True)):
        number = "" if np.isnan(value) else f"{value:.{digits}f}".replace(".", decimal)
        fields = text.split(" ", 1) if two_columns else [text]
        fields.append(number)
        if humidity is not None:
            # A humidity that never moves is a sensor that stands still.
            fields.append(f"{humidity - i % 7:.1f}".replace(".", decimal))
        rows.append(delimiter.join(fields))
    head = ["Date", "Time"] if two_columns else ["Time"]
    head += [name] + (["Humidity (%)"] if humidity is not None else [])
    lines = [f"made file {i}" for i in range(header_rows)]
    lines += [delimiter.join(head), *rows]
    path.write_text("\n".join(lines) + "\n", encoding=encoding)
    return path


def epw(path, temps, *, latitude=44.0, longitude=15.0, offset=1.0, months=None):
    """Write an EPW of hourly temperatures (8760 or 8784 rows) and return the path."""
    n = len(temps)
    start = "2004-01-01" if n == 8784 else "2005-01-01"
    index = pd.date_range(start, periods=n, freq="h")
    lines = [
        f"LOCATION,Madetown,-,XXX,made,000000,{latitude},{longitude},{offset},50.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,made for a test",
        "COMMENTS 2,",
        "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
    ]
    for t, value in zip(index, temps, strict=True):
        # Months stitched from different years, February from a leap year.
        year = 1984 if t.month == 2 else 1980 + t.month
        dew = "99.9" if np.isnan(value) else f"{value - 3:.1f}"
        temp = "99.9" if np.isnan(value) else f"{value:.1f}"
        row = [year, t.month, t.day, t.hour + 1, 0, "?", temp, dew, 80, 101000]
        row += [0, 0, 300, 200 if 8 <= t.hour <= 15 else 0, 0, 0, 0, 0, 0, 0]
        row += [180, 2.5, 5, 5, 20, 9999, 9, 999999999, 0, 0.1, 0, 88, 0.2, 0, 1]
        lines.append(",".join(map(str, row)))
    path.write_text("\n".join(lines) + "\n")
    return path
