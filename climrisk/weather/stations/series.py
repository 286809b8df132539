"""Station-years joined to one gapless series in our units, and what to say of it."""

from __future__ import annotations

from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import WINTER_MONTHS
from climrisk.core.errors import InputError
from climrisk.core.references import by, field
from climrisk.weather.quality_flags import Marks
from climrisk.weather.series import Origin, Place, Source, WeatherSeries
from climrisk.weather.stations.archive_file import StationYear, hours_in
from climrisk.weather.stations.checks import checked
from climrisk.weather.stations.info import StationInfo, is_model

Years = list[StationYear | None]

#: Our name, the client's column and what to divide by: km/h and oktas are converted.
CONVERTED = (
    ("air_temp_c", "temp", 1.0),
    ("rel_humidity_pct", "rhum", 1.0),
    ("wind_speed_m_s", "wspd", 3.6),
    ("wind_gust_m_s", "wpgt", 3.6),
    ("cloud_cover_frac", "cldc", 8.0),
)
#: Readings to a tenth are whole by chance in one hour of ten.
_WHOLE_SHARE = 0.3
_NIGHT_SHARE = 0.8


class NoHoursError(InputError):
    """A station without a known hour in the years asked for."""


def series_of(
    info: StationInfo, first_year: int, years: Years, *, until: datetime
) -> WeatherSeries:
    """Return the hours of calendar years as a series.

    Parameters
    ----------
    info : StationInfo
    first_year : int
    years : list of StationYear or None
        One for each calendar year from `first_year` on; None is a year without a file.
    until : datetime
        Hours that start after it are left out: they are forecasts.

    Raises
    ------
    NoHoursError
        No hour has a temperature.
    """
    time = _grid(first_year, len(years))
    raw, notes, marks = {}, list(info.reasons), Marks()
    for name, column, divisor in CONVERTED:
        one = _joined(column, years, first_year)
        if column == "cldc":
            one = np.where(one == 9, np.nan, one)  # 9: the sky could not be seen
        raw[name] = one / divisor
    measured = _origin(years, first_year, raw["air_temp_c"]) == Origin.MEASURED
    hour = time.astype("datetime64[h]").astype(np.int64)
    values = checked(raw, measured, hour, marks)
    temps = values["air_temp_c"]
    keep = np.isfinite(temps) & (time <= np.datetime64(until.replace(tzinfo=None), "m"))
    rows = np.flatnonzero(keep)
    if len(rows) == 0:
        raise NoHoursError(
            "the station has no hourly data in these years",
            where=f"station {info.id}",
            value=f"{first_year} to {first_year + len(years) - 1}",
            allowed=f"{info.first} to {info.last}",
            next_step=by(
                cli=f"climrisk stations {field('at', 'LAT,LON')} lists others"
            ),
        )
    cut = slice(int(rows[0]), int(rows[-1]) + 1)
    origin = _origin(years, first_year, temps)[cut]
    notes += _precision(temps[cut]) + _modeled(origin) + marks.notes()
    place = Place(
        info.name, info.latitude_deg, info.longitude_deg, info.elevation_m, info.zone
    )
    source = Source(
        "station",
        f"{info.name} ({info.id})",
        _credit([y.credit for y in years if y is not None]),
        "station",
    )
    return WeatherSeries.build(
        time[cut],
        {k: v[cut] for k, v in values.items()},
        place=place,
        source=source,
        origin=origin[:, None],
        notes=tuple(notes),
        marks=marks.tallied(),
    )


def winter_nights_known(
    weather: WeatherSeries, first_year: int, last_year: int, *, until: datetime
) -> float:
    """Return the share of a span's winter nights that can be judged.

    Here a night is 18 to 6 local standard time, and can be judged when 80 % of these
    hours are known. Nights before and after the record count as unknown.

    Parameters
    ----------
    weather : WeatherSeries
    first_year, last_year : int
        Calendar years that were asked for.
    until : datetime
        The last moment that could be known.
    """
    seasons = weather.seasons()
    winter = WINTER_MONTHS[seasons.north]
    first = np.datetime64(f"{first_year}-01-01", "D").astype(int)
    stop = np.datetime64(f"{last_year + 1}-01-01", "D").astype(int)
    stop = min(stop, np.datetime64(until.replace(tzinfo=None), "D").astype(int))
    nights = np.arange(first, max(stop, first))
    wanted = np.isin(seasons.night_month(nights), winter)
    dark = (seasons.hour >= 18) | (seasons.hour < 6)
    known = dark & np.isfinite(weather.air_temp_c[:, 0])
    place = seasons.night[known] - first
    place = place[(place >= 0) & (place < len(nights))]
    count = np.bincount(place, minlength=len(nights))
    if not wanted.any():
        return 0.0
    return float((count[wanted] >= _NIGHT_SHARE * 12).mean())


def _grid(first_year: int, count: int) -> NDArray[np.datetime64]:
    start = np.datetime64(f"{first_year}-01-01T00:00", "m")
    end = np.datetime64(f"{first_year + count}-01-01T00:00", "m")
    return np.arange(start, end, np.timedelta64(60, "m"))


def _joined(name: str, years: Years, first_year: int) -> Float:
    parts = []
    for i, one in enumerate(years):
        column = None if one is None else one.columns.get(name)
        empty = np.full(hours_in(first_year + i), np.nan)
        parts.append(empty if column is None else column)
    return np.concatenate(parts)


def _origin(years: Years, first_year: int, temps: Float) -> NDArray[np.uint8]:
    """Tell measured hours from modeled ones by the provider of each temperature."""
    parts = []
    for i, one in enumerate(years):
        kinds = np.full(hours_in(first_year + i), Origin.MEASURED, np.uint8)
        if one is not None and "temp" in one.flags:
            for number, name in enumerate(one.sources):
                if is_model(name):
                    kinds[one.flags["temp"] == number] = Origin.MODELED
        parts.append(kinds)
    out = np.concatenate(parts)
    out[np.isnan(temps)] = Origin.MISSING
    return out


def _precision(temps: Float) -> list[str]:
    known = temps[np.isfinite(temps)]
    share = float((known == np.round(known)).mean())
    if share < _WHOLE_SHARE:
        return []
    return [
        f"{share:.0%} of the hours are whole degrees: a 10 may have been 9.5 to 10.5"
    ]


def _modeled(origin: NDArray[np.uint8]) -> list[str]:
    known = origin[origin != Origin.MISSING]
    share = float((known == Origin.MODELED).mean())
    if share == 0:
        return []
    return [f"{share:.1%} of the known hours are model values, not readings"]


def _credit(credit_lines: list[str]) -> str:
    """Return the credit line that CC BY 4.0 asks for: who, which license, changed."""
    names = {part.strip() for line in credit_lines for part in line.split(",")}
    others = ", ".join(sorted(names - {"Meteostat", ""}))
    who = f"Meteostat ({others})" if others else "Meteostat"
    return f"Data: {who}, CC BY 4.0, changed by us"
