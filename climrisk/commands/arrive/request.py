"""From what was given to where a new plant goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.arrive.compute import arrive_at
from climrisk.commands.shared.sources import (
    Weather,
    hours_of,
    requested,
)
from climrisk.core import validation
from climrisk.core.defaults import WEEKS_AHEAD
from climrisk.core.references import field

if TYPE_CHECKING:
    from climrisk.commands.arrive.command import ArriveInput
    from climrisk.commands.arrive.result import ArriveResult


def arrive(weather: Weather, given: ArriveInput) -> ArriveResult:
    """Return whether a new plant may go to its spot now, else until when to hold it.

    Raises
    ------
    InputError
        A name that is not known, a number out of range, a typical year.
    """
    validation.number_in(
        given.weeks, *WEEKS_AHEAD, what="weeks ahead", where=field("weeks")
    )
    request, source = requested(weather, given)
    return arrive_at(hours_of(source), request, given.weeks)
