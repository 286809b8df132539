"""What the weather is, in the words and numbers of a result."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.cautions import CautionText
from climrisk.core.errors import InputError
from climrisk.core.lookups import note
from climrisk.render.document import (
    Assumed,
    Caution,
    MarkInfo,
    PlaceInfo,
    StationAway,
    WeatherInfo,
)
from climrisk.spot.kinds import SpotKind
from climrisk.spot.rooms import assumed_heating
from climrisk.spot.sky import Substitute, unknown_place
from climrisk.weather.quality_flags import WORDS
from climrisk.weather.series import MarkCount, Origin, WeatherSeries


def assumed_info(
    stands: Iterable[Substitute], spots: Iterable[SpotKind] = ()
) -> tuple[Assumed, ...]:
    """Return what stands in for what a record, a place or a room does not tell.

    Parameters
    ----------
    stands : iterable of Substitute
        Of the record.
    spots : iterable of SpotKind
        Whose temperatures the result shows.
    """
    kinds = list(spots)
    places = [stand for kind in kinds for stand in unknown_place(kind)]
    return tuple(
        Assumed(variable=a.variable, value=a.value, spread=a.spread, why=a.why)
        for a in (*stands, *places, *assumed_heating(kinds))
    )


def mark_info(marks: Iterable[MarkCount]) -> list[MarkInfo]:
    """Return the readings that were left out, as results and documents name them."""
    return [
        MarkInfo(
            variable=m.variable,
            mark=m.mark,
            readings=m.readings,
            meaning=WORDS[m.mark],
        )
        for m in marks
    ]


def caution_info(texts: Iterable[CautionText]) -> list[Caution]:
    """Return cautions as a result carries them."""
    return [Caution(topic=c.topic, text=c.text) for c in texts]


def weather_info(
    weather: WeatherSeries, assumed: tuple[Assumed, ...] = ()
) -> WeatherInfo:
    """Return what every result says about its weather."""
    place = weather.place
    known = int((weather.origin != Origin.MISSING).any(axis=1).sum())
    modeled = int((weather.origin == Origin.MODELED).any(axis=1).sum())
    filled = int((weather.origin == Origin.FILLED).any(axis=1).sum())
    last = weather.time[-1] + np.timedelta64(60, "m")
    info = WeatherInfo(
        source=weather.source.label,
        kind=weather.source.kind,
        measured_at=weather.source.measured_at,
        place=PlaceInfo(
            name=place.name,
            latitude_deg=place.latitude_deg,
            longitude_deg=place.longitude_deg,
            elevation_m=place.elevation_m,
            zone=place.zone,
        ),
        first=f"{weather.time[0]}Z",
        last=f"{last}Z",
        hours_expected=len(weather),
        hours_known=known,
        hours_modeled=modeled,
        hours_filled=filled,
        coverage_frac=round(known / len(weather), 4),
        resolution_c=weather.resolution_c,
        marks=mark_info(weather.marks),
        credit=weather.source.credit,
        assumed=list(assumed),
        station=_station(weather),
        notes=list(weather.notes),
    )
    note("weather", f"{info.source} {info.first} {info.last}", info)
    return info


def _station(weather: WeatherSeries) -> StationAway | None:
    away = weather.away
    if away is None:
        return None
    height = away.height_difference_m
    return StationAway(
        distance_km=round(away.distance_km, 1),
        height_difference_m=None if height is None else round(height),
        spread_k=round(away.spread_k, 2),
        rough=away.rough,
        others=list(away.others),
    )


def only_known(values: NDArray[np.floating], weather: WeatherSeries) -> None:
    """Refuse a record without one known hour."""
    if not np.isfinite(values).any():
        raise InputError(
            "no known hour in the record",
            where=weather.source.label,
            next_step="choose other dates or another file",
        )


def local_stamp(weather: WeatherSeries, index: int, offset_min: int) -> str:
    """Return the local standard time at which an hour begins."""
    moment = weather.time[index] + np.timedelta64(offset_min, "m")
    return str(moment).replace("T", " ")
