"""The nightly table: what every count is made of, night by night and world by world."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.commands.assess.compute import scene_of
from climrisk.commands.shared.exposures import sweep
from climrisk.commands.shared.plants import plants_request
from climrisk.commands.shared.sources import (
    Weather,
    home_of,
    hours_of,
    requested,
)
from climrisk.commands.shared.weather_info import weather_info
from climrisk.core.calendar import as_date, growing_year_label
from climrisk.exposure.nights import Nights
from climrisk.render.document import WeatherInfo
from climrisk.spot.ensemble import ensemble
from climrisk.spot.transfer import prepare, spot_air_c

if TYPE_CHECKING:
    from climrisk.commands.assess.command import AssessInput
    from climrisk.commands.calendar.command import CalendarInput

Float = NDArray[np.floating]


@dataclass(frozen=True)
class NightTable:
    """A table of nights; a row a night and spot.

    Parameters
    ----------
    header : list of str
        ``lowest_c_3`` is the lowest known hour in the third world, ``counts`` whether
        80 % of the dark hours are known, ``hours_below_preferred_3`` the hours of that
        night, noon to noon.
    rows : list of tuple
    weather : WeatherInfo
    """

    header: list[str]
    rows: list[tuple[object, ...]]
    weather: WeatherInfo


def assess_nights(weather: Weather, given: AssessInput) -> NightTable:
    """Return the nights that an assessment counts, of every ensemble member."""
    request, source = requested(weather, given)
    hours = hours_of(source)
    request = request.at_default_spot(hours)
    limits = request.limits
    at = scene_of(hours, request)
    judged = at.scene.judged(limits)
    prepared, air = at.scene.prepared, judged.climate.air_c
    index, count = prepared.nightly.index, len(judged.air.nights)
    below: dict[str, Float] = {}
    for name, limit in (
        ("preferred", limits.preferred_c),
        ("tolerated", limits.tolerated_c),
    ):
        below[f"hours_below_{name}"] = _by_night(air < limit, index, count)
    name = request.kind(hours).name
    return _table({name: (judged.air.nights, below)}, weather_info(hours))


def calendar_nights(weather: Weather, given: CalendarInput) -> NightTable:
    """Return the nights of every spot outdoors that a calendar counts."""
    own, _, source = home_of(weather, given.home)
    request = plants_request(
        own,
        given.plants,
        spot=given.spot,
        site=given.site,
        state=given.state,
        elevation_m=given.elevation,
    )
    hours = hours_of(source)
    prepared = prepare(
        hours, ensemble(given.members), spot_elevation_m=request.elevation_m
    )
    spots: dict[str, tuple[Nights, dict[str, Float]]] = {}
    for potted in request.plants_at(hours):
        if potted.spot not in spots and not potted.kind.indoors:
            air = spot_air_c(prepared, potted.kind)
            spots[potted.spot] = (sweep(prepared, air, []).nights, {})
    return _table(spots, weather_info(hours))


def _by_night(flags: NDArray[np.bool_], index: NDArray[np.int64], count: int) -> Float:
    return np.stack([np.bincount(index, f, count) for f in flags.T], axis=1)


def _table(
    spots: Mapping[str, tuple[Nights, Mapping[str, Float]]], weather: WeatherInfo
) -> NightTable:
    header = ["spot", "evening", "growing_year", "month"]
    rows: list[tuple[object, ...]] = []
    for spot, (nights, extra) in spots.items():
        columns: dict[str, Float] = {"counts": nights.valid.astype(float)}
        columns["lowest_c"] = nights.lowest_c
        columns |= extra
        if len(header) == 4:
            members = nights.lowest_c.shape[1]
            header += [f"{n}_{m + 1}" for n in columns for m in range(members)]
        cells = np.concatenate([np.asarray(c, float) for c in columns.values()], axis=1)
        for i, values in enumerate(cells):
            year = growing_year_label(int(nights.growing_year[i]), north=nights.north)
            rows.append(
                (
                    *(spot, as_date(int(nights.evening[i])).isoformat(), year),
                    int(nights.month[i]),
                    *("" if np.isnan(v) else f"{v:.9g}" for v in values),
                )
            )
    return NightTable(header, rows, weather)
