"""From what was given to where a new plant goes."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.arrive.compute import arrive_at
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.sources import Weather, home_of, hours_of, today_of
from climrisk.core import validation

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
    validation.number_in(given.weeks, 1, 26, what="weeks ahead", where="--weeks")
    own, choice, source = home_of(weather, given.home)
    home = own if given.home else None
    request = request_of(given, home, today_of(choice, given.as_of))
    return arrive_at(hours_of(source), request, given.weeks)
