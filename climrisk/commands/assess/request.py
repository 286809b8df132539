"""From what was given to an assessment, or to several where a name is ambiguous."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.commands.assess.ambiguous_names import assess_several, opened
from climrisk.commands.assess.compute import assess as _assess
from climrisk.commands.assess.compute import scene_of
from climrisk.commands.shared.nights_table import NightTable, night_table
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.sources import (
    Weather,
    home_of,
    hours_of,
    requested,
    today_of,
)
from climrisk.commands.shared.weather_info import weather_info
from climrisk.core.arrays import Float
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError

if TYPE_CHECKING:
    from climrisk.commands.assess.command import AssessInput
    from climrisk.commands.assess.result import AssessResult, AssessSeveral


def assess(weather: Weather, given: AssessInput) -> AssessResult:
    """Return what a spot would do to a plant, before buying.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    request, source = requested(weather, given)
    return _assess(hours_of(source), request)


def assess_or_ask(weather: Weather, given: AssessInput) -> AssessResult | AssessSeveral:
    """Return the answer for a plant, or those of all plants that a name may mean.

    Raises
    ------
    InputError
        A misspelt name, with the nearest ones; any other input that is wrong.
    """
    try:
        return assess(weather, given)
    except (AmbiguousPlantError, UnknownPlantError) as error:
        several = opened(error, given.plant)
    own, choice, source = home_of(weather, given.home)
    today = today_of(choice, given.as_of)
    home = own if given.home else None
    requests = [request_of(given, home, today, plant=p) for _, p in several.plants]
    return assess_several(hours_of(source), several, requests)


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
    return night_table({name: (judged.air.nights, below)}, weather_info(hours))


def _by_night(flags: NDArray[np.bool_], index: NDArray[np.int64], count: int) -> Float:
    return np.stack([np.bincount(index, f, count) for f in flags.T], axis=1)
