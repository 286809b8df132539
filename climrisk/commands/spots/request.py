"""From what was given to a ranking of spots."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.plants import spot_named, spot_of
from climrisk.commands.shared.sources import Weather, home_of, hours_of, today_of
from climrisk.commands.spots.compute import spots
from climrisk.commands.spots.result import SpotsResult
from climrisk.home import Home
from climrisk.spot.kinds import KINDS, spot_kind
from climrisk.spot.site import Site, parse_site
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.commands.spots.command import RankSpotsInput


def ranked(weather: Weather, given: RankSpotsInput) -> SpotsResult:
    """Return the spots of a home, or the kinds there are, ranked for a plant.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, choice, source = home_of(weather, given.home)
    home = own if given.home else None
    request = request_of(given, home, today_of(choice, given.as_of))
    site = parse_site(given.site) if given.site else None
    hours = hours_of(source)
    return spots(hours, _compared(given.spot, own, hours, site), request)


def _compared(
    names: Sequence[str], home: Home | None, hours: WeatherSeries, site: Site | None
) -> list[NamedSpot]:
    if names:
        named = [spot_named(name, home) for name in names]
        # Beside others none is known to be where the record was measured.
        if len(named) > 1:
            return [NamedSpot(s.name, s.kind.with_site(site)) for s in named]
        return [spot_of(names[0], home, hours, site)]
    if home is not None and home.places:
        return [NamedSpot(s.name, s.as_kind.with_site(site)) for s in home.places]
    return [
        NamedSpot(k, spot_kind(k).with_site(site)) for k in KINDS if k != "as-measured"
    ]
