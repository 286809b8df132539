"""From what a user types to a ranking of spots."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from climrisk.commands.shared.parse import PotWords, question
from climrisk.commands.shared.plants import home_and_choice, spot_named, spot_of
from climrisk.commands.shared.request import DEFAULT_MEMBERS
from climrisk.commands.spots.compute import spots
from climrisk.commands.spots.result import SpotsResult
from climrisk.home import Home
from climrisk.spot.kinds import KINDS, SpotKind, spot_kind
from climrisk.spot.site import Site, parse_site
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import WeatherSeries


def ranked(
    plant: str,
    weather: WeatherChoice | WeatherSeries,
    *,
    spot: Sequence[str] = (),
    site: Sequence[str] = (),
    pot: str | None = None,
    pot_diameter: float | None = None,
    medium: str | None = None,
    state: str | None = None,
    members: int = DEFAULT_MEMBERS,
    elevation: float | None = None,
    home: str | Path | None = None,
    strict: bool = False,
) -> SpotsResult:
    """Return the spots of a home, or the kinds there are, ranked for a plant.

    Parameters
    ----------
    plant : str
    weather : WeatherSeries or WeatherChoice
    spot : sequence of str
        Kinds or spots of the home; all where none is named.
    site, pot, pot_diameter, medium, state, members, elevation, home, strict
        As the options of ``climrisk spots``; diameter in cm, elevation in m.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    path = None if home is None else Path(home)
    series = weather if isinstance(weather, WeatherSeries) else None
    given = weather if isinstance(weather, WeatherChoice) else WeatherChoice()
    own, choice = home_and_choice(given, path)
    asked = question(
        plant,
        today=choice.today,
        pot=PotWords(pot, pot_diameter, medium),
        state=state,
        members=members,
        elevation_m=elevation,
        home=own if path is not None else None,
        strict=strict,
    )
    told = parse_site(site) if site else None
    hours = series if series is not None else load_weather(choice)
    return spots(hours, _compared(spot, own, hours, told), asked)


def _compared(
    names: Sequence[str], home: Home | None, hours: WeatherSeries, site: Site | None
) -> list[tuple[str, SpotKind]]:
    if names:
        named = [spot_named(name, home) for name in names]
        # Beside others none is known to be where the record was measured.
        if len(named) > 1:
            return [(name, kind.told(site)) for name, kind in named]
        return [spot_of(names[0], home, hours, site)]
    if home is not None and home.places:
        return [(s.name, s.as_kind.told(site)) for s in home.places]
    return [(k, spot_kind(k).told(site)) for k in KINDS if k != "as-measured"]
