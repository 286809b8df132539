"""Where the coming night's hours come from: typed words, a forecast, or the demo."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from climrisk.commands.shared.standing import specified_place
from climrisk.commands.tonight.compute import Evening
from climrisk.commands.tonight.result import ForecastInfo
from climrisk.core import days
from climrisk.core.arrays import Float
from climrisk.core.errors import InputError
from climrisk.core.quantities import difference
from climrisk.core.references import AT, STATION, TOWN, field
from climrisk.home import Home
from climrisk.render.document import Assumed
from climrisk.spot.regimes import cloud_weight, wind_weight
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.series import Place, WeatherSeries
from climrisk.weather.typed.forecast_text import TypedWeather, parse_words

#: Before this hour the night that still runs is meant.
_NEW_NIGHT_HOUR = 6
#: Where no place is told only the length of the night asks for one.
_NOWHERE = Place("place not told", 44.0, 0.0, None, "UTC")


def typed_evening(
    text: str, choice: WeatherChoice, home: Home | None, now: datetime
) -> Evening:
    """Return the night of typed words; nothing is fetched.

    Raises
    ------
    InputError
        Words that are not understood.
    """
    from climrisk.weather.typed.night import RISE_SD_K, typed_series, usual_rise_k

    typed = parse_words(text, choice.temperature_unit)
    place = specified_place(choice, home)
    assumed = []
    if place is None:
        place = _NOWHERE
        assumed.append(_assumed("place", "44° N", "-", "only for the night's length"))
    weight, spread, more = _regime(typed)
    assumed += more
    rise = usual_rise_k(weight)
    room_sd = 0.0
    if typed.highest_c is None:
        room_sd = RISE_SD_K / 2
        assumed.append(
            _assumed(
                "day maximum",
                f"{difference(rise, 0)} above the night",
                f"± {difference(RISE_SD_K)}",
                "no maximum in the words; matters for rooms only",
            )
        )
    evening = choice.as_of or _evening_of(now, place.zone)
    source = ForecastInfo(
        kind="words",
        words=text.strip(),
        understood=typed.understood,
        source="forecast as typed",
        place=place.name,
        fetched=None,
        age_min=None,
        credit="",
    )
    return Evening(
        typed_series(typed, evening, place, rise_k=rise),
        evening,
        source,
        (weight, spread),
        tuple(assumed),
        room_sd,
        lowest_at=False,
        highest_c=typed.highest_c,
    )


def fetched_evening(choice: WeatherChoice, home: Home | None, now: datetime) -> Evening:
    """Return the coming night of the forecast for the home, fetched now.

    Raises
    ------
    InputError
        No place, or a night that the forecast does not reach.
    WeatherUnavailableError
        The forecast could not be downloaded; an old one is never shown instead.
    """
    from climrisk.weather.forecast import forecast_series
    from climrisk.weather.stations.station import Stations

    if choice.demo:
        return _demo_evening(choice, now)
    room = Stations()
    place = specified_place(choice, home)
    if place is None and choice.station is not None:
        info = room.named(choice.station)
        place = Place(
            info.name,
            info.latitude_deg,
            info.longitude_deg,
            info.elevation_m,
            choice.zone or info.zone,
        )
    if place is None:
        raise InputError(
            "no place to ask a forecast for",
            where="tonight",
            allowed=f"{AT}, {TOWN}, {STATION}, a home file with a place, or "
            + field("words", "'4, wind 6 km/h, clear'"),
        )
    weather = forecast_series(place, now, room.client)
    source = ForecastInfo(
        kind="forecast",
        words=None,
        source=weather.source.label,
        place=place.name,
        fetched=now.astimezone(UTC).isoformat(timespec="minutes"),
        age_min=int((datetime.now(UTC) - now).total_seconds() // 60),
        credit=weather.source.credit,
    )
    evening = choice.as_of or _evening_of(now, place.zone)
    return Evening(weather, evening, source)


def _demo_evening(choice: WeatherChoice, now: datetime) -> Evening:
    """Return the same evening of the invented record's last year that has it."""
    from climrisk.weather.synthetic import VELADRAG, demo_weather

    requested = choice.as_of or _evening_of(now, VELADRAG.zone)
    weather = demo_weather()
    last = weather.time[-1].astype("datetime64[D]").astype(date)
    day = (
        requested.replace(day=28)
        if (requested.month, requested.day) == (2, 29)
        else requested
    )
    evening = day.replace(year=last.year)
    if evening >= last:
        evening = day.replace(year=last.year - 1)
    hours = _around(weather, evening)
    source = ForecastInfo(
        kind="demo",
        words=None,
        source=f"{weather.source.label}, night of {days.day(evening)}",
        place=weather.place.name,
        fetched=None,
        age_min=None,
        credit=weather.source.credit,
    )
    return Evening(hours, evening, source)


def _around(weather: WeatherSeries, evening: date) -> WeatherSeries:
    day = weather.seasons().day
    number = (evening - date(1970, 1, 1)).days
    rows = np.flatnonzero((day >= number - 2) & (day <= number + 1))
    return weather.between(int(rows[0]), int(rows[-1]) + 1)


def _evening_of(now: datetime, zone: str) -> date:
    local = now.astimezone(ZoneInfo(zone))
    return (local - timedelta(hours=_NEW_NIGHT_HOUR)).date()


def _regime(typed: TypedWeather) -> tuple[float, float, list[Assumed]]:
    """Return weight and spread of typed wind and sky, and what had to be assumed."""
    by_cloud = _weight_of(cloud_weight, typed.cloud_frac)
    by_wind = _weight_of(wind_weight, typed.wind_m_s)
    assumed = []
    # As where a record tells only one of them, but without an evening's cooling.
    spread = 0.10
    if by_cloud is None:
        assumed.append(_assumed("sky", "half clear", "any", "no word for the sky"))
    if by_wind is None:
        assumed.append(_assumed("wind", "half still", "any", "no wind in the words"))
    if by_cloud is None and by_wind is None:
        return 0.5, 0.35, assumed
    if by_cloud is None or by_wind is None:
        spread = 0.25
    known = [x for x in (by_cloud, by_wind) if x is not None]
    weight = float(np.prod(known)) * (0.5 ** (0.5 * (2 - len(known))))
    return weight, spread, assumed


def _weight_of(weight: Callable[[Float], Float], value: float | None) -> float | None:
    return None if value is None else float(weight(np.array(value)))


def _assumed(variable: str, value: str, spread: str, why: str) -> Assumed:
    return Assumed(variable=variable, value=value, spread=spread, why=why)
