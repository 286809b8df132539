"""From what was given to tonight's list."""

from __future__ import annotations

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.commands.shared.carrying import Carried, carry_rows
from climrisk.commands.shared.parse import plant_state
from climrisk.commands.shared.plants import home_and_choice
from climrisk.commands.shared.standing import places_of, standing_at
from climrisk.commands.tonight.compute import tonight as _tonight
from climrisk.core.calendar import today_here
from climrisk.core.errors import InputError
from climrisk.core.lookups import note
from climrisk.core.references import field
from climrisk.home import edit_home, read_home
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


def carried_tonight(
    home: Path | None, result: TonightResult, on: date | None = None
) -> Carried:
    """Note that the plants of tonight's carry list were carried in.

    Parameters
    ----------
    home : Path or None
    result : TonightResult
    on : date, optional
        Today otherwise.

    Raises
    ------
    InputError
        No home file, or a plant without a room to go to; nothing is noted.
    """
    if home is None:
        raise InputError(
            "noting what was carried needs a home file",
            where=field("done"),
            allowed=field("home"),
        )
    rows = [(r.row, r.to) for r in result.carry if r.row is not None]
    before = read_home(home)
    day = on or today_here()
    with edit_home(home) as edit:
        return carry_rows(edit, before, rows, "in", None, day)
