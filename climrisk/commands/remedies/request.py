"""From what was given to the remedies of a plant at its spot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.remedies.compute import remedies as _remedies
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.sources import Weather, home_of, hours_of, today_of

if TYPE_CHECKING:
    from climrisk.commands.remedies.command import RemediesInput
    from climrisk.commands.remedies.result import RemediesResult


def remedies(weather: Weather, given: RemediesInput) -> RemediesResult:
    """Return what helps a plant most at its spot, each remedy alone.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, choice, source = home_of(weather, given.home)
    home = own if given.home else None
    request = request_of(given, home, today_of(choice, given.as_of))
    return _remedies(hours_of(source), request)
