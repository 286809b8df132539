"""Made logger files of many shapes, each with its truth known.

A shape writes a file from hourly temperatures on a UTC index and says how it is to be
read: with which options, and either to which series or with which question.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pandas as pd

ZONE = "Europe/Zagreb"
START, DAYS = "2021-02-15", 60


def truth() -> pd.Series:
    """Return sixty days over the change to summer time, to a tenth of a degree."""
    rng = np.random.default_rng(3)
    index = pd.date_range(START, periods=24 * DAYS, freq="h", tz="UTC")
    day = np.arange(len(index)) / 24
    air = 6 + 0.1 * day + 4 * np.cos(2 * np.pi * (day - 13.5 / 24))
    return pd.Series(np.round(air + rng.normal(0, 0.7, len(index)), 1), index=index)


@dataclass(frozen=True)
class Shape:
    """A shape of file.

    Parameters
    ----------
    name : str
    write : callable
        From path and truth to the series that is to be read back, or None.
    options : dict
        As the user would give them.
    asks : str
        A word of the question or refusal; "" where the file is read.
    """

    name: str
    write: Callable[[Path, pd.Series], pd.Series | None]
    options: dict[str, Any] = field(default_factory=dict)
    asks: str = ""


def wall(index: pd.DatetimeIndex) -> pd.DatetimeIndex:
    return index.tz_convert(ZONE).tz_localize(None)


def standard(index: pd.DatetimeIndex) -> pd.DatetimeIndex:
    return index.tz_convert("Etc/GMT-1").tz_localize(None)


def plain(index: pd.DatetimeIndex) -> pd.DatetimeIndex:
    return index.tz_localize(None)


def table(
    *,
    stamp: str | Callable[[pd.Timestamp], str] = "%Y-%m-%d %H:%M",
    clock: Callable[[pd.DatetimeIndex], pd.DatetimeIndex] = plain,
    header: str | None = "Time,Temperature (°C)",
    delimiter: str = ",",
    number: Callable[[float], str] = lambda v: f"{v:.1f}",
    before: str = "",
    extra: Callable[[int], list[str]] = lambda i: [],
    first: Callable[[int], list[str]] = lambda i: [],
    encoding: str = "utf-8",
    newline: str = "\n",
    rows: Callable[[list[str]], list[str]] = lambda rows: rows,
    keep: Callable[[pd.Series], pd.Series] = lambda s: s,
) -> Callable[[Path, pd.Series], pd.Series]:
    """Return a writer of tables."""

    def write(path: Path, series: pd.Series) -> pd.Series:
        lines = []
        for i, (at, value) in enumerate(
            zip(clock(series.index), series.to_numpy(), strict=True)
        ):
            text = at.strftime(stamp) if isinstance(stamp, str) else stamp(at)
            fields = [*first(i), text, number(value), *extra(i)]
            lines.append(delimiter.join(fields))
        body = rows(lines)
        head = [before.rstrip("\n")] if before else []
        head += [header] if header is not None else []
        path.write_bytes((newline.join([*head, *body]) + newline).encode(encoding))
        return keep(series)

    return write


def fahrenheit(v: float) -> str:
    return f"{v * 1.8 + 32:.2f}"


def comma(v: float) -> str:
    return f"{v:.1f}".replace(".", ",")


def serial(at: pd.Timestamp) -> str:
    return f"{(at - pd.Timestamp('1899-12-30')) / pd.Timedelta('1D'):.6f}"


def every(minutes: int, jitter: int = 0) -> Callable[[Path, pd.Series], pd.Series]:
    """Return a writer of closer readings that keep to each hour's value."""

    def write(path: Path, series: pd.Series) -> pd.Series:
        rng = np.random.default_rng(5)
        lines = ["Time,Temperature (°C)"]
        for at, value in series.items():
            for minute in range(0, 60, minutes):
                shift = int(rng.integers(0, jitter + 1)) if jitter and minute else 0
                moment = at + pd.Timedelta(minutes=minute, seconds=shift)
                lines.append(f"{moment:%Y-%m-%d %H:%M:%S},{value:.1f}")
        path.write_text("\n".join(lines))
        return series

    return write


def with_marks(path: Path, series: pd.Series) -> pd.Series:
    known = series.copy()
    signs = {5: "-99", 17: "---", 29: "", 41: "NaN", 53: "no probe", 65: "-9999"}
    lines = ["Time,Temperature (°C)"]
    for i, (at, value) in enumerate(series.items()):
        lines.append(f"{at:%Y-%m-%d %H:%M},{signs.get(i, f'{value:.1f}')}")
        if i in signs:
            known.iloc[i] = np.nan
    path.write_text("\n".join(lines))
    return known


def two_sensors(path: Path, series: pd.Series) -> pd.Series:
    lines = ["Time;Inside °C;Outside °C;Humidity %"]
    for i, (at, value) in enumerate(series.items()):
        lines.append(
            f"{at:%d.%m.%Y %H:%M};{comma(20 + i % 3)};{comma(value)};{50 + i % 9}"
        )
    path.write_text("\n".join(lines))
    return series


def two_columns(
    swapped: bool, date: str = "%d/%m/%Y", time: str = "%H:%M:%S"
) -> Callable[[Path, pd.Series], pd.Series]:
    def write(path: Path, series: pd.Series) -> pd.Series:
        names = ["Time", "Date"] if swapped else ["Date", "Time"]
        lines = [",".join([*names, "Temp C"])]
        for at, value in series.items():
            parts = [f"{at:{date}}", f"{at:{time}}"]
            lines.append(
                ",".join([*(reversed(parts) if swapped else parts), f"{value:.1f}"])
            )
        path.write_text("\n".join(lines))
        return series

    return write


def midnight_24(at: pd.Timestamp) -> str:
    if at.hour:
        return str(at.strftime("%Y-%m-%d %H:%M"))
    return str((at - pd.Timedelta("1D")).strftime("%Y-%m-%d 24:00"))


def zones_own(at: pd.Timestamp) -> str:
    return str(at.tz_localize("UTC").tz_convert(ZONE).isoformat())


PREAMBLE = """Logger: made for a test
Serial: 123456, firmware 1.2
Interval: 1 h
"""
UTC = {"clock": "utc"}

SHAPES = [
    Shape("comma and ISO dates", table(), UTC),
    Shape(
        "semicolon, decimal comma",
        table(
            stamp="%d.%m.%Y %H:%M",
            delimiter=";",
            number=comma,
            header="Zeit;Temperatur °C",
        ),
        UTC,
    ),
    Shape("tab", table(delimiter="\t", header="Time\tTemperature (°C)"), UTC),
    Shape("pipe", table(delimiter="|", header="Time|Temperature (°C)"), UTC),
    Shape(
        "columns set apart by spaces",
        table(delimiter="   ", header="Time               Temperature_(°C)"),
        UTC,
    ),
    Shape(
        "one space before the reading",
        table(delimiter=" ", header=None, before="made on a balcony\ntime  temp_C"),
        UTC,
    ),
    Shape("date and time apart", two_columns(swapped=False), UTC),
    Shape("time before date", two_columns(swapped=True), UTC),
    Shape("compact date and time apart", two_columns(False, "%Y%m%d", "%H%M"), UTC),
    Shape("compact to the minute", table(stamp="%Y%m%d%H%M"), UTC),
    Shape("compact to the second", table(stamp="%Y%m%d%H%M%S"), UTC),
    Shape("12 h, month first", table(stamp="%m/%d/%Y %I:%M %p"), UTC),
    Shape(
        "12 h, small letters, no zeros",
        table(
            stamp=lambda t: (
                f"{t.month}/{t.day}/{t.year} "
                f"{(t.hour - 1) % 12 + 1}:{t.minute:02d} {'ap'[t.hour >= 12]}m"
            )
        ),
        UTC,
    ),
    Shape(
        "12 h with points",
        table(stamp=lambda t: f"{t:%d/%m/%Y %I:%M} {'ap'[t.hour >= 12]}.m."),
        UTC,
    ),
    Shape("seconds", table(stamp="%Y-%m-%d %H:%M:%S"), UTC),
    Shape("parts of seconds", table(stamp="%Y-%m-%d %H:%M:%S.000"), UTC),
    Shape("ISO with T", table(stamp="%Y-%m-%dT%H:%M:%S"), UTC),
    Shape("ISO with Z", table(stamp="%Y-%m-%dT%H:%M:%SZ")),
    Shape("ISO with its offset", table(stamp=zones_own)),
    Shape("slashes, year first", table(stamp="%Y/%m/%d %H:%M"), UTC),
    Shape("short years", table(stamp="%d-%m-%y %H:%M"), UTC),
    Shape("names of months", table(stamp="%d-%b-%y %H:%M"), UTC),
    Shape("names of months, long", table(stamp="%d %B %Y %H:%M"), UTC),
    Shape(
        "days without zeros",
        table(stamp=lambda t: f"{t.day}.{t.month}.{t.year} {t:%H:%M}"),
        UTC,
    ),
    Shape("midnight as 24:00", table(stamp=midnight_24), UTC),
    Shape("Unix seconds", table(stamp=lambda t: str(int(t.timestamp())))),
    Shape("Unix milliseconds", table(stamp=lambda t: str(int(t.timestamp() * 1000)))),
    Shape("Unix seconds with a point", table(stamp=lambda t: f"{t.timestamp():.1f}")),
    Shape(
        "days of a spreadsheet", table(stamp=serial, header="Date Time,Temp °C"), UTC
    ),
    Shape(
        "days of a spreadsheet, decimal comma",
        table(
            stamp=lambda t: serial(t).replace(".", ","),
            delimiter=";",
            number=comma,
            header="Date;Temp °C",
        ),
        UTC,
    ),
    Shape("UTF-16", table(encoding="utf-16"), UTC),
    Shape("UTF-8 with its mark", table(encoding="utf-8-sig"), UTC),
    Shape("Latin-1", table(encoding="latin-1"), UTC),
    Shape("lines of Windows", table(newline="\r\n"), UTC),
    Shape("lines of old", table(newline="\r"), UTC),
    Shape("rows before the table", table(before=PREAMBLE), UTC),
    Shape(
        "blank lines", table(before="\n\n\n", rows=lambda r: [*r[:9], "", *r[9:]]), UTC
    ),
    Shape(
        "a row of units below the names",
        table(
            header="Time,Temperature (°C),Humidity\n,°C,%",
            extra=lambda i: [f"{50 + i % 9}"],
        ),
        UTC,
    ),
    Shape(
        "numbered rows",
        table(header="#,Time,Temp °C", first=lambda i: [str(i + 1)]),
        UTC,
    ),
    Shape(
        "a delimiter at the end",
        table(header="Time,Temp °C,", extra=lambda i: [""]),
        UTC,
    ),
    Shape(
        "quoted, decimal comma between commas",
        table(
            header='"Time","Temperature °C"',
            number=lambda v: f'"{comma(v)}"',
            stamp='"%Y-%m-%d %H:%M"',
        ),
        UTC,
    ),
    Shape(
        "thousands mark in another column",
        table(
            header="Time;Temp °C;Pressure hPa",
            delimiter=";",
            number=comma,
            stamp="%d.%m.%Y %H:%M",
            extra=lambda i: ["1.013,2"],
        ),
        UTC,
    ),
    Shape(
        "unit behind the reading",
        table(header="Time,Temp", number=lambda v: f"{v:.1f} °C"),
        UTC,
    ),
    Shape(
        "Fahrenheit behind the reading",
        table(header="Time,Temp", number=lambda v: f"{fahrenheit(v)}°F"),
        UTC,
    ),
    Shape(
        "Fahrenheit in the header",
        table(header="Time,Temp (°F)", number=fahrenheit),
        UTC,
    ),
    Shape(
        "Fahrenheit as the header's end",
        table(header="dt,tempF", number=fahrenheit),
        UTC,
    ),
    Shape(
        "Fahrenheit as told",
        table(header="Time,Temp", number=fahrenheit),
        {**UTC, "temperature_unit": "f"},
    ),
    Shape(
        "a true minus sign", table(number=lambda v: f"{v:.1f}".replace("-", "−")), UTC
    ),
    Shape("signs for no reading", with_marks, UTC),
    Shape("two sensors, one chosen", two_sensors, {**UTC, "column": "outside °C"}),
    Shape("two sensors, part of a name", two_sensors, {**UTC, "column": "outside"}),
    Shape("newest first", table(rows=lambda r: r[::-1]), UTC),
    Shape(
        "every row twice", table(rows=lambda r: [x for x in r for _ in range(2)]), UTC
    ),
    Shape("ten minutes", every(10), UTC),
    Shape("one minute", every(1), UTC),
    Shape("uneven steps", every(5, jitter=120), UTC),
    Shape("a wall clock proves itself", table(clock=wall)),
    Shape("a wall clock as told", table(clock=wall), {"clock": "local"}),
    Shape("standard time as told", table(clock=standard), {"clock": "standard"}),
    Shape("UTC in the header", table(header="Time (UTC),Temp °C")),
    Shape(
        "an offset in the header",
        table(header="Date Time GMT+01:00,Temp °C", clock=standard),
    ),
    Shape(
        "names in Croatian",
        table(
            header="Vrijeme,Temperatura (°C),Vlaga (%)",
            extra=lambda i: [f"{60 + i % 9}"],
        ),
        UTC,
    ),
    Shape(
        "highest and lowest beside",
        table(
            header="Time,Temp °C,Max temp °C,Min temp °C",
            extra=lambda i: ["30.0", "1.0"],
        ),
        UTC,
    ),
    Shape(
        "standard time that nothing shows",
        table(clock=standard, rows=lambda r: r[: 24 * 20], keep=lambda s: s[: 24 * 20]),
    ),
    Shape("one clock all year", table(clock=standard)),
    Shape(
        "wind direction in Dutch",
        table(
            header="Tijd,Temperatuur °C,Windrichting",
            extra=lambda i: [f"{37 * i % 360}"],
        ),
        UTC,
    ),
    Shape(
        "wind direction beside speed",
        table(
            header="Time,Temp °C,Wind dir,Wind m/s",
            extra=lambda i: [f"{37 * i % 360}", "3.0"],
        ),
        UTC,
    ),
    # What is left open is asked, and what is no such table is refused.
    Shape(
        "either order of dates",
        table(stamp="%d/%m/%Y %H:%M", rows=lambda r: r[24 * 14 : 24 * 22]),
        UTC,
        "--date-order",
    ),
    Shape(
        "a unit that nothing tells",
        table(header="Time,Temp", number=lambda v: f"{(v + 20) * 1.8 + 32:.1f}"),
        UTC,
        "--temperature-unit",
    ),
    Shape(
        "kelvin",
        table(header="Time,Temp °C", number=lambda v: f"{v + 273.15:.2f}"),
        UTC,
        "outside what weather can be",
    ),
    Shape(
        "a wind speed without its unit",
        table(header="Time,Temp °C,Wind", extra=lambda i: ["3.0"]),
        UTC,
        "does not say its unit",
    ),
    Shape("no names of columns", table(header=None), UTC, "no temperature column"),
    Shape("no such sensor", two_sensors, {**UTC, "column": "roof"}, "no such column"),
    Shape(
        "a sensor named too shortly",
        two_sensors,
        {**UTC, "column": "side"},
        "more than one",
    ),
    Shape(
        "dates that are none",
        table(stamp=lambda t: f"day {t.day}"),
        UTC,
        "no table of readings",
    ),
    Shape(
        "wind without its unit",
        table(header="Time,Temp °C,Wind", extra=lambda i: ["3.1"]),
        UTC,
        "wind column",
    ),
    Shape(
        "dates against what is told",
        table(stamp="%d/%m/%Y %H:%M"),
        {**UTC, "date_order": "mdy"},
        "contradict",
    ),
]
