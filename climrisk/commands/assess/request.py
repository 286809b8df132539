"""From what was given to an assessment, or to several where a name is ambiguous."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.assess.compute import assess as _assess
from climrisk.commands.assess.several import assess_several, opened
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.sources import (
    Weather,
    home_of,
    hours_of,
    requested,
    today_of,
)
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError

if TYPE_CHECKING:
    from climrisk.commands.assess.command import AssessInput
    from climrisk.commands.assess.result import AssessResult
    from climrisk.commands.assess.several_result import AssessSeveral


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
