"""From what was given to the remedies of a plant at its spot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.remedies.compute import remedies as _remedies
from climrisk.commands.shared.sources import (
    Weather,
    hours_of,
    requested,
)

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
    request, source = requested(weather, given)
    return _remedies(hours_of(source), request)
