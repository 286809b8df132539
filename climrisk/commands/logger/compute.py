"""What a logger's file is, and what it is worth."""

from __future__ import annotations

import numpy as np

from climrisk.advice.cold_nights import LEAST_WINTERS
from climrisk.commands.logger.result import (
    ColumnInfo,
    DayRow,
    LoggerResult,
    MonthCover,
    TableInfo,
)
from climrisk.commands.shared.weather_info import weather_info
from climrisk.core.arrays import Int
from climrisk.core.calendar import as_date
from climrisk.core.days import day_in_words
from climrisk.core.quantities import difference
from climrisk.core.variables import VARIABLES
from climrisk.core.version import __version__
from climrisk.core.wording import plural
from climrisk.exposure.hours import expose
from climrisk.exposure.nights import Nights
from climrisk.physics.solar import night_hours, sun_path
from climrisk.weather.selection import WeatherChoice, load_logger
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.logger import LoggerTable

_DELIMITERS = {"\t": "tab", ",": "comma", ";": "semicolon", "|": "bar"}


def logger(choice: WeatherChoice) -> LoggerResult:
    """Return what a logger's file is.

    Parameters
    ----------
    choice : WeatherChoice
        With the file, where it hung, and what the file itself does not tell.

    Raises
    ------
    InputError
        No logger's table, or what it leaves open, as a question.
    """
    table, weather = load_logger(choice)
    seasons = weather.seasons()
    place = weather.place
    sun = sun_path(weather.time, place.latitude_deg, place.longitude_deg)
    swept = expose(weather.air_temp_c, seasons, night_hours(sun), np.array([]))
    days = _days(table, weather, seasons.day)
    months = _months(days, swept.nights)
    nights = sum(m.nights for m in months)
    counted = sum(m.nights_counted for m in months)
    winters = sum(bool(w.all()) for w in swept.nights.winters.values())
    air = weather.air_temp_c[:, 0]
    lowest = weather.lowest_c
    result = LoggerResult(
        command="logger",
        version=__version__,
        weather=weather_info(weather),
        table=_table(table),
        columns=[
            ColumnInfo(
                header=c.header,
                variable=c.name,
                unit=c.unit,
                readings=int(np.isfinite(table.readings[c.name]).sum()),
            )
            for c in table.columns
        ],
        months=months,
        days=days,
        nights=nights,
        nights_counted=counted,
        winters=winters,
        lowest_c=round(float(np.nanmin(air)), 2),
        lowest_reading_c=None if lowest is None else round(float(np.nanmin(lowest)), 2),
        highest_c=round(float(np.nanmax(air)), 2),
        sentence="",
        worth=_worth(weather, winters),
        files=[],
    )
    return result.model_copy(update={"sentence": _sentence(result)})


def _table(table: LoggerTable) -> TableInfo:
    dialect = table.dialect
    return TableInfo(
        rows=table.rows,
        delimiter=_DELIMITERS.get(dialect.delimiter, "spaces"),
        decimal="comma" if dialect.decimal == "," else "point",
        thousands=dialect.thousands,
        first_line=dialect.start + 1,
        step_minutes=round(table.hours.step_s / 60, 2),
        clock=table.clock,
    )


def _days(table: LoggerTable, weather: WeatherSeries, day: Int) -> list[DayRow]:
    air = weather.air_temp_c[:, 0]
    first = int(day[0])
    place = day - first
    count = int(place[-1]) + 1
    known = np.isfinite(air)
    low, high = np.full(count, np.inf), np.full(count, -np.inf)
    np.minimum.at(low, place[known], air[known])
    np.maximum.at(high, place[known], air[known])
    hours = np.bincount(place, minlength=count)
    held = np.bincount(place[known], minlength=count)
    marked = _marked_by_day(table, weather, first, count)
    return [
        DayRow(
            date=as_date(first + i).isoformat(),
            hours=int(hours[i]),
            hours_known=int(held[i]),
            lowest_c=_number(low[i]),
            highest_c=_number(high[i]),
            marked=int(marked[i]),
        )
        for i in range(count)
    ]


def _marked_by_day(
    table: LoggerTable, weather: WeatherSeries, first: int, count: int
) -> Int:
    """Return how many readings of the air were taken out on each day."""
    offset = weather.seasons().offset_min * 60
    day = (table.seconds + offset) // 86_400 - first
    taken = np.isfinite(table.readings["air_temp_c"])
    taken &= ~np.isfinite(table.believed["air_temp_c"])
    inside = taken & (day >= 0) & (day < count)
    return np.bincount(day[inside], minlength=count)


def _number(value: float) -> float | None:
    return round(float(value), 1) if np.isfinite(value) else None


def _months(days: list[DayRow], nights: Nights) -> list[MonthCover]:
    evenings = [as_date(int(e)).isoformat()[:7] for e in nights.evening]
    valid = nights.valid[:, 0]
    out = []
    for month in dict.fromkeys(d.date[:7] for d in days):
        mine = [d for d in days if d.date[:7] == month]
        rows = np.array([e == month for e in evenings])
        lows = [d.lowest_c for d in mine if d.lowest_c is not None]
        highs = [d.highest_c for d in mine if d.highest_c is not None]
        out.append(
            MonthCover(
                month=month,
                hours=sum(d.hours for d in mine),
                hours_known=sum(d.hours_known for d in mine),
                nights=int(rows.sum()),
                nights_counted=int(valid[rows].sum()),
                lowest_c=min(lows, default=None),
                highest_c=max(highs, default=None),
                marked=sum(d.marked for d in mine),
            )
        )
    return out


def _worth(weather: WeatherSeries, winters: int) -> list[str]:
    """Return what may be done with the record, and what not."""
    out = []
    if winters < LEAST_WINTERS:
        seen = f"only {plural(winters, 'full winter')}" if winters else "no full winter"
        out.append(
            f"this file holds {seen}, so no date can be given from it alone: "
            f"{LEAST_WINTERS} are needed"
        )
    else:
        out.append(f"it holds {winters} full winters: enough for dates")
    if weather.source.measured_at == "spot":
        out.append(
            "it is read as measured at the spot: its air is used as it is; the kind "
            "of spot gives sky, wind and sun"
        )
    if weather.get("wind_speed_m_s") is None:
        out.append("no wind in this file: a typical value is used")
    if weather.dew_point_c() is None:
        out.append("no humidity in this file: a typical value is used")
    if any(m.mark == "sun" for m in weather.marks):
        out.append("the sun reaches the sensor: its nights are good, its noons are not")
    if weather.resolution_c is not None:
        out.append(
            f"rounded to {difference(weather.resolution_c)}: counts near a limit are "
            "ranges"
        )
    return out


def _sentence(result: LoggerResult) -> str:
    names = [VARIABLES[c.variable].label for c in result.columns]
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    days = result.days
    text = (
        f"{result.weather.source}: {listed} from {day_in_words(days[0].date)} to "
        f"{day_in_words(days[-1].date)}, {100 * result.weather.coverage_frac:.1f} % of "
        f"hours known; {result.nights_counted:,} of {result.nights:,} nights count"
    )
    marked = sum(m.readings for m in result.weather.marks)
    if marked:
        text += f"; {marked:,} flagged reading{'s' * (marked != 1)}"
    return text + "."
