"""From what was given to what the plants went through in a cold event."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING

from climrisk.commands.event.cold import AFTER_D, BEFORE_D, from_record, from_words
from climrisk.commands.event.compute import event as _event
from climrisk.commands.event.result import EventSource
from climrisk.commands.shared.named_spots import NamedSpot
from climrisk.commands.shared.parse import plant_state
from climrisk.commands.shared.plants import home_and_choice
from climrisk.commands.shared.request import at_record
from climrisk.commands.shared.standing import places_of, standing_at
from climrisk.core import validation
from climrisk.core.defaults import DEFAULT_SPOT
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.home import Home
from climrisk.spot.kinds import spot_kind
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import WeatherSeries
from climrisk.weather.typed.event_text import parse_cold

if TYPE_CHECKING:
    from climrisk.commands.event.command import EventInput
    from climrisk.commands.event.result import EventResult


def event(weather: WeatherChoice | WeatherSeries, given: EventInput) -> EventResult:
    """Return what each plant went through in a cold event, and when to look again.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
        The record, with its first and last day; with typed words only the day it ended.
    given : EventInput

    Raises
    ------
    InputError
        Words, names or days that are not understood, or a spot left open.
    """
    chosen = weather if isinstance(weather, WeatherChoice) else WeatherChoice()
    own, choice = home_and_choice(chosen, given.home)
    known_state = plant_state(given.state)
    plants, words, spot = given.plants, given.words, given.spot
    name = "home" if own is None else own.name
    if words is not None:
        parsed = parse_cold(words, choice.temperature_unit)
        where = _one_spot(own, spot, "which spot was this?")
        ended = choice.last or choice.first or choice.today
        standing = standing_at(own, plants, [where.name], [where], known_state, ended)
        cold = from_words(parsed, *where, ended)
        day = ended.isoformat()
        source = EventSource(
            kind="words", words=words.strip(), first=day, last=day, chosen="as told"
        )
        north = _north(choice, own)
        return _event(
            [cold], standing, source=source, ended=ended, north=north, home=name
        )
    hours = weather if isinstance(weather, WeatherSeries) else _record(choice)
    if hours.typical:
        raise InputError(
            "a typical year holds no event",
            where="event",
            value=hours.source.label,
            allowed=f"a record of years, or {field('words')}",
        )
    if hours.source.measured_at == "spot":
        places = [_measured_at(own, spot, hours)]
    else:
        places = places_of(own, () if spot is None else (spot,))
        if own is None and spot is None:
            places = [p for p in places if p.name == DEFAULT_SPOT]
    at_spot = [places[0].name] if len(places) == 1 else ([spot] if spot else [])
    since = choice.first or choice.last or choice.today
    standing = standing_at(own, plants, at_spot, places, known_state, since)
    if spot is not None or standing:
        used = {s.potted.spot for s in standing} | {places[0].name}
        places = [p for p in places if p.name in used]
    height = given.elevation
    if height is not None:
        validation.elevation(height, where=field("elevation"))
    elif own is not None:
        height = own.height_m
    colds, source, ended, info = from_record(
        *(hours, places, standing, choice.first, choice.last),
        members=given.members,
        elevation_m=height,
    )
    north = hours.place.latitude_deg >= 0
    return _event(
        *(colds, standing),
        source=source,
        ended=ended,
        north=north,
        home=name,
        weather=info,
    )


def _record(choice: WeatherChoice) -> WeatherSeries:
    """Return the record with some weeks before the first day asked for."""
    first, last = choice.first, choice.last
    if first is not None:
        first -= timedelta(days=BEFORE_D + 1)
    if last is not None and last + timedelta(days=AFTER_D) <= choice.today:
        last += timedelta(days=AFTER_D)
    return load_weather(replace(choice, first=first, last=last))


def _one_spot(home: Home | None, spot: str | None, question: str) -> NamedSpot:
    if spot is not None:
        return places_of(home, [spot])[0]
    if home is not None and len(home.places) == 1:
        return places_of(home, [home.places[0].name])[0]
    if home is None:
        return NamedSpot.of(spot_kind(DEFAULT_SPOT))
    raise InputError(
        question,
        where=field("at_spot"),
        allowed=", ".join(p.name for p in home.places) or "none in the home file",
    )


def _measured_at(
    home: Home | None, spot: str | None, hours: WeatherSeries
) -> NamedSpot:
    """Return the spot where a record was measured, its air taken as it is."""
    if home is None and spot is None:
        return NamedSpot.of(at_record(None, hours))
    name, kind = _one_spot(home, spot, "the record is of one spot: of which?")
    return NamedSpot(name, at_record(kind, hours))


def _north(choice: WeatherChoice, home: Home | None) -> bool:
    """Return the half of the Earth: of the place told, else the northern."""
    from climrisk.commands.shared.standing import specified_place

    place = specified_place(choice, home)
    return place is None or place.latitude_deg >= 0
