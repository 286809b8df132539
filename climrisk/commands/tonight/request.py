"""From what was given to tonight's list."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import TYPE_CHECKING

from climrisk.commands.shared.parse import plant_state
from climrisk.commands.shared.plants import home_and_choice
from climrisk.commands.shared.standing import places_of, standing_at
from climrisk.commands.tonight.compute import tonight as _tonight
from climrisk.core.lookups import note
from climrisk.weather.selection import WeatherChoice

if TYPE_CHECKING:
    from climrisk.commands.tonight.command import TonightInput
    from climrisk.commands.tonight.result import TonightResult


def tonight(
    weather: WeatherChoice, given: TonightInput, *, now: datetime | None = None
) -> TonightResult:
    """Return what to carry, cover or leave before the coming night.

    Parameters
    ----------
    weather : WeatherChoice
        Where the home is, and with ``as_of`` which evening; ``demo`` takes the invented
        weather.
    given : TonightInput
        With typed words nothing is downloaded.
    now : datetime, optional
        The moment asked at, aware; the clock's where not given.

    Raises
    ------
    InputError
        Words, names or a place that are not understood.
    WeatherUnavailableError
        The forecast could not be downloaded; an old one is never shown instead.
    """
    from climrisk.commands.tonight.evening import fetched_evening, typed_evening

    own, choice = home_and_choice(weather, given.home)
    known_state = plant_state(given.state)
    places = places_of(own, given.spot)
    moment = now or datetime.now(UTC)
    day = choice.as_of or moment.astimezone().date()
    standing = standing_at(own, given.plants, given.spot, places, known_state, day)
    if given.words is not None:
        evening = typed_evening(given.words, choice, own, moment)
    else:
        evening = fetched_evening(choice, own, moment)
    note("day", "evening", evening.evening)
    return _tonight(evening, places, standing, home="home" if own is None else own.name)
