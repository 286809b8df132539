"""From what was given to pots and media compared."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from climrisk.commands.pots.compute import USUAL_MEDIA, USUAL_POTS, PotsRequest
from climrisk.commands.pots.compute import pots as _pots
from climrisk.commands.shared.parse import (
    plant_state,
    pot_setup,
    pot_wetness,
    profile_of,
)
from climrisk.commands.shared.plants import height_of, spot_of
from climrisk.commands.shared.sources import Weather, home_of, hours_of
from climrisk.core.defaults import DEFAULT_DIAMETER_CM
from climrisk.exposure.toppling import checked_plant
from climrisk.pot.model import FilledPot
from climrisk.spot.site import parse_site

if TYPE_CHECKING:
    from climrisk.commands.pots.command import ComparePotsInput
    from climrisk.commands.pots.result import PotsResult
    from climrisk.inputs.values import Pot as PotValue


def pots(
    weather: Weather, given: ComparePotsInput, named: Sequence[PotValue] = ()
) -> PotsResult:
    """Return pots and media compared at a spot.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    given : ComparePotsInput
        Every pot with every medium and diameter.
    named : sequence of climrisk.inputs.values.Pot
        In their place.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, _, source = home_of(weather, given.home)
    profile = profile_of(given.plant, own)
    state = plant_state(given.state)
    setup = pot_setup(given.setup, given.watered_every)
    size = checked_plant(given.plant_height, given.leaf_area)
    compared = [_pot(pot.inputs()) for pot in named] or _every(given)

    hours = hours_of(source)
    site = parse_site(given.site) if given.site else None
    request = PotsRequest(
        spot_of(given.spot, own, hours, site),
        compared,
        plant=profile,
        state=state,
        below=given.below,
        elevation_m=height_of(given, own),
        members=given.members,
        setup=setup,
        plant_size=size,
        usual_set=not (named or given.pot or given.medium),
    )
    return _pots(hours, request)


def _every(given: ComparePotsInput) -> list[FilledPot]:
    """Return every kind of pot with every medium in every diameter."""
    return [
        _pot({**vars(given), "pot": kind, "medium": medium, "pot_diameter": diameter})
        for kind in given.pot or _usual_pots(given.watered_every)
        for medium in given.medium or USUAL_MEDIA
        for diameter in given.pot_diameter or (DEFAULT_DIAMETER_CM,)
    ]


def _pot(said: Mapping[str, Any]) -> FilledPot:
    return FilledPot.named(
        *(said["pot"], said["pot_diameter"], said["medium"]),
        wetness=pot_wetness(said["wetness"]),
        stand=said["stands_on"],
        watered_every_d=said["watered_every"],
        color=said["pot_color"],
    ).with_layers(said["crocking"], said["top_dressing"])


def _usual_pots(watered_every_d: float | None) -> tuple[str, ...]:
    """Return the pots compared where none is named; nobody waters a reservoir."""
    if watered_every_d is None:
        return USUAL_POTS
    return tuple(p for p in USUAL_POTS if p != "self-watering")
