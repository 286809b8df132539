"""What a keeper asks about a home as it stands: tonight, after the cold, the year."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.commands.calendar.compute import Kept
from climrisk.commands.event.cold import AFTER_D, BEFORE_D, from_record, from_words
from climrisk.commands.event.compute import event as _event
from climrisk.commands.event.result import EventTold
from climrisk.commands.learn.calibration import logger_for, spot_for, station_for
from climrisk.commands.review.compute import review as _review
from climrisk.commands.shared.parse import plant_state
from climrisk.commands.shared.plants import home_and_choice
from climrisk.commands.shared.request import DEFAULT_MEMBERS, DEFAULT_SPOT, at_record
from climrisk.commands.tonight.compute import Standing
from climrisk.commands.tonight.compute import tonight as _tonight
from climrisk.core.errors import InputError
from climrisk.core.lookups import note
from climrisk.home import Home, HomePlant
from climrisk.home.model import references
from climrisk.plants.registry import find
from climrisk.spot.kinds import KINDS, SpotKind, spot_kind
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes
from climrisk.weather.typed.event_text import parse_cold

if TYPE_CHECKING:
    from climrisk.commands.event.result import EventResult
    from climrisk.commands.review.result import ReviewResult
    from climrisk.commands.tonight.result import TonightResult

Weather = WeatherChoice | WeatherSeries
Place = tuple[str, SpotKind]

#: Kinds that are shown where neither spots nor a home are named.
_USUAL = tuple(k for k in KINDS if k != "as-measured")


def tonight(
    weather: WeatherChoice | None = None,
    plants: Sequence[str] = (),
    *,
    words: str | None = None,
    spot: Sequence[str] = (),
    state: str | None = None,
    home: str | Path | None = None,
    now: datetime | None = None,
) -> TonightResult:
    """Return what to carry, cover or leave before the coming night.

    Parameters
    ----------
    weather : WeatherChoice, optional
        Where the home is, and with ``as_of`` which evening; ``--demo`` takes the
        invented weather.
    plants : sequence of str
        Without any, those of the home.
    words : str, optional
        A typed forecast, such as ``"4, wind 6 km/h, clear"``; nothing is fetched.
    spot : sequence of str
        Kinds, or spots of the home; without any, those of the home.
    state : str, optional
    home : str or Path, optional
    now : datetime, optional
        The moment asked at, aware; the clock's where not given.

    Raises
    ------
    InputError
        Words, names or a place that are not understood.
    WeatherUnavailable
        The forecast could not be downloaded; an old one is never shown instead.
    """
    from climrisk.commands.tonight.evening import fetched_evening, typed_evening

    path = None if home is None else Path(home)
    own, choice = home_and_choice(weather or WeatherChoice(), path)
    known_state = plant_state(state)
    places = places_of(own, spot)
    moment = now or datetime.now(UTC)
    day = choice.as_of or moment.astimezone().date()
    standing = standing_at(own, plants, spot, places, known_state, day)
    if words is not None:
        evening = typed_evening(words, choice, own, moment)
    else:
        evening = fetched_evening(choice, own, moment)
    note("day", "evening", evening.evening)
    return _tonight(evening, places, standing, home="home" if own is None else own.name)


def event(
    weather: Weather | None = None,
    plants: Sequence[str] = (),
    *,
    words: str | None = None,
    spot: str | None = None,
    state: str | None = None,
    home: str | Path | None = None,
    elevation: float | None = None,
    members: int = DEFAULT_MEMBERS,
) -> EventResult:
    """Return what each plant met in a cold event, and when to look again.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice, optional
        The record, with its first and last day; with `words` only the day it ended.
    plants : sequence of str
        Without any, those of the home.
    words : str, optional
        The event as told, such as ``"3.1 at 06:00, 7 h below 8"``.
    spot : str, optional
        A kind, or a spot of the home: where it was cold, or where the logger hung.
    state, home, elevation, members : optional

    Raises
    ------
    InputError
        Words, names or days that are not understood, or a spot left open.
    """
    given = weather if isinstance(weather, WeatherChoice) else WeatherChoice()
    path = None if home is None else Path(home)
    own, choice = home_and_choice(given, path)
    known_state = plant_state(state)
    name = "home" if own is None else own.name
    if words is not None:
        told_cold = parse_cold(words, choice.temperature_unit)
        where = _one_spot(own, spot, "which spot was this?")
        ended = choice.last or choice.first or choice.today
        standing = standing_at(own, plants, [where[0]], [where], known_state, ended)
        cold = from_words(told_cold, *where, ended)
        day = ended.isoformat()
        told = EventTold(
            kind="words", words=words.strip(), first=day, last=day, chosen="as told"
        )
        north = _north(choice, own)
        return _event([cold], standing, told=told, ended=ended, north=north, home=name)
    hours = weather if isinstance(weather, WeatherSeries) else _record(choice)
    if hours.typical:
        raise InputError(
            "a typical year holds no event",
            where="event",
            value=hours.source.label,
            allowed="a record of years, or --words",
        )
    if hours.source.measured_at == "spot":
        places = [_measured_at(own, spot, hours)]
    else:
        places = places_of(own, () if spot is None else (spot,))
        if own is None and spot is None:
            places = [p for p in places if p[0] == DEFAULT_SPOT]
    at_spot = [places[0][0]] if len(places) == 1 else ([spot] if spot else [])
    since = choice.first or choice.last or choice.today
    standing = standing_at(own, plants, at_spot, places, known_state, since)
    if spot is not None or standing:
        used = {s.kept.spot for s in standing} | {places[0][0]}
        places = [p for p in places if p[0] in used]
    height = elevation
    if height is None and own is not None:
        height = own.height_m
    colds, told, ended, info = from_record(
        *(hours, places, standing, choice.first, choice.last),
        members=members,
        elevation_m=height,
    )
    north = hours.place.latitude_deg >= 0
    return _event(
        *(colds, standing),
        told=told,
        ended=ended,
        north=north,
        home=name,
        weather=info,
    )


def review(
    weather: WeatherChoice | None = None,
    plants: Sequence[str] = (),
    *,
    spot: str | None = None,
    site: Sequence[str] = (),
    against: str | None = None,
    winter: str | None = None,
    below: Sequence[float] = (),
    state: str | None = None,
    members: int = DEFAULT_MEMBERS,
    elevation: float | None = None,
    home: str | Path | None = None,
) -> ReviewResult:
    """Return a winter looked back on, by the logger of the spot where there is one.

    Parameters
    ----------
    weather : WeatherChoice, optional
        The logger's file, or without one the station; with ``demo`` invented ones.
    plants : sequence of str
        Without any, those of the home that stand on the spot.
    spot, site, against, elevation : optional
        As `climrisk.commands.learn.calibration.lesson`.
    winter : str, optional
        Label of a growing year; the one the logger knows best otherwise.
    below : sequence of float
        Thresholds counted. [°C]
    state, members, home : optional

    Raises
    ------
    InputError
        No weather, names that are not known, or no such winter.
    """
    given = weather or WeatherChoice()
    path = None if home is None else Path(home)
    own, choice = home_and_choice(given, path)
    known_state = plant_state(state)
    if spot is None and own is not None and len(own.spot) >= 1:
        spot = own.spot[0].name
    named, kind = spot_for(spot, own, site)
    name = named or kind.name
    if own is not None and plants:
        standing = [Kept(own.profile(p), p, name, kind, known_state) for p in plants]
    elif own is not None:
        standing = [
            Kept(
                *(plant, row.called, row.spot, kind, row.state, row.count),
                moves=row.moves,
            )
            for row, plant in own.entries()
            if named is not None
            and named.lower() in {row.spot.lower(), *(m.to.lower() for m in row.moves)}
        ]
    else:
        standing = [Kept(find(p), p, name, kind, known_state) for p in plants]
    logger: WeatherSeries | DailyExtremes | None = None
    if given.file is not None or given.demo:
        mine = replace(choice, file=given.file)
        station = station_for(mine, own if path else None, path, against)
        logger = logger_for(mine, station, "morning")
    else:
        station = load_weather(choice)
        if station.source.measured_at == "spot" and against is not None:
            logger = station
            mine = replace(choice, file=None)
            station = station_for(mine, own if path else None, path, against)
        elif station.source.measured_at == "spot":
            # The spot's own record needs no offset, and has nothing beside it.
            kind = at_record(kind, station)
    height = elevation
    if height is None and own is not None and path is not None:
        height = own.height_m
    return _review(
        *(station, kind, standing),
        logger=logger,
        spot=name,
        home="home" if own is None else own.name,
        shown=winter,
        below=below,
        elevation_m=height,
        members=members,
    )


def _record(choice: WeatherChoice) -> WeatherSeries:
    """Return the record with some weeks before the first day asked for."""
    first, last = choice.first, choice.last
    if first is not None:
        first -= timedelta(days=BEFORE_D + 1)
    if last is not None and last + timedelta(days=AFTER_D) <= choice.today:
        last += timedelta(days=AFTER_D)
    return load_weather(replace(choice, first=first, last=last))


def _one_spot(home: Home | None, spot: str | None, question: str) -> Place:
    if spot is not None:
        return places_of(home, [spot])[0]
    if home is not None and len(home.places) == 1:
        return places_of(home, [home.places[0].name])[0]
    if home is None:
        kind = spot_kind(DEFAULT_SPOT)
        return kind.name, kind
    raise InputError(
        question,
        where="--at-spot",
        allowed=", ".join(p.name for p in home.places) or "none in the home file",
    )


def _measured_at(home: Home | None, spot: str | None, hours: WeatherSeries) -> Place:
    """Return the spot where a record was measured, its air taken as it is."""
    if home is None and spot is None:
        somewhere = at_record(None, hours)
        return somewhere.name, somewhere
    name, kind = _one_spot(home, spot, "the record is of one spot: of which?")
    return name, at_record(kind, hours)


def _north(choice: WeatherChoice, home: Home | None) -> bool:
    """Return the half of the Earth: of the place told, else the northern."""
    from climrisk.commands.tonight.evening import place_told

    place = place_told(choice, home)
    return place is None or place.latitude_deg >= 0


def places_of(home: Home | None, spot: Sequence[str]) -> list[Place]:
    """Return names and kinds of the spots asked about, with the home's rooms.

    Rooms stay, because plants are carried there.

    Raises
    ------
    InputError
        A spot that is neither of the home nor a kind.
    """
    if home is None:
        kinds = [spot_kind(name) for name in spot or _USUAL]
        return [(kind.name, kind) for kind in kinds]
    if not spot:
        return [(p.name, p.as_kind) for p in home.places]
    out = {}
    for name in spot:
        if home.knows_spot(name):
            place = home.spot_named(name)
            out[place.name] = place.as_kind
        else:
            kind = _kind_or_names(name, home)
            out[kind.name] = kind
    for place in home.places:
        if place.as_kind.indoors:
            out.setdefault(place.name, place.as_kind)
    return list(out.items())


def _kind_or_names(name: str, home: Home) -> SpotKind:
    """Return a kind; where there is none of that name, say what the home has."""
    try:
        return spot_kind(name)
    except InputError as error:
        own = ", ".join(p.name for p in home.places) or "none"
        raise InputError(
            "no such spot",
            where="--spot",
            value=name,
            allowed=f"of the home: {own}; or a kind: {error.allowed}",
            next_step=error.next_step,
        ) from error


def standing_at(
    home: Home | None,
    plants: Sequence[str],
    spot: Sequence[str],
    places: Sequence[Place],
    state: str,
    day: date,
) -> list[Standing]:
    """Return the plants asked about where they stand on a day.

    Named ones stand where the home has them, else on the first spot; without names,
    all of the home that stand on a spot asked about. What was noted of plants carried
    in and out holds.
    """
    at = {name.lower(): (name, kind) for name, kind in places}
    rows = () if home is None else home.plant
    known = list(zip(rows, references(rows), strict=True))
    asked = {places_of(home, [name])[0][0].lower() for name in spot}
    if not plants:
        return [
            _of_home(home, row, reference, at, day)
            for row, reference in known
            if home is not None and (not asked or row.place_on(day).lower() in asked)
        ]
    out = []
    for name in plants:
        found = _row_of(home, name) if home is not None and not spot else None
        if home is not None and found is not None:
            reference = next(ref for row, ref in known if row is found)
            out.append(_of_home(home, found, reference, at, day))
            continue
        plant = find(name) if home is None else home.profile(name)
        usual = at.get(DEFAULT_SPOT) if not spot else None
        where, kind = usual or places[0]
        out.append(Standing(Kept(plant, name, where, kind, state)))
    return out


def _row_of(home: Home, name: str) -> HomePlant | None:
    wanted = name.strip().lower()
    called = next((p for p in home.plant if p.called.lower() == wanted), None)
    if called is not None:
        return called
    profile = home.profile(name).name
    return next((p for p, plant in home.entries() if plant.name == profile), None)


def _of_home(
    home: Home, row: HomePlant, reference: str, at: dict[str, Place], day: date
) -> Standing:
    where, kind = at[row.place_on(day).lower()]
    plant = home.profile(row.name)
    kept = Kept(
        *(plant, row.called, where, kind, row.state, row.count, row.risk),
        inside=home.is_inside(row, day),
        row=reference,
    )
    room = home.room_of(row)
    return Standing(
        *(kept, row.in_pot(), None if room == where else room),
        plant_height_cm=row.plant_height_cm,
        leaf_area_cm2=row.leaf_area_cm2,
    )
