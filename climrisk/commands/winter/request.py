"""From what was given to the winter exposure of a spot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.shared.parse import plant_state, profile_of
from climrisk.commands.shared.plants import height_of, spot_of
from climrisk.commands.shared.sources import Weather, home_of, hours_of
from climrisk.commands.winter.compute import winter as _winter
from climrisk.spot.site import parse_site

if TYPE_CHECKING:
    from climrisk.commands.winter.command import WinterInput
    from climrisk.commands.winter.result import WinterResult


def winter(weather: Weather, given: WinterInput) -> WinterResult:
    """Return the winter exposure of a spot.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, _, source = home_of(weather, given.home)
    profile = profile_of(given.plant, own)
    state = plant_state(given.state)
    hours = hours_of(source)
    site = parse_site(given.site) if given.site else None
    return _winter(
        hours,
        spot_of(given.spot, own, hours, site),
        plant=profile,
        state=state,
        below=given.below,
        shown=given.shown,
        elevation_m=height_of(given, own),
        members=given.members,
    )
