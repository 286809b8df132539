"""From what was given to a winter looked back on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from climrisk.commands.review.compute import review as _review
from climrisk.commands.shared.logger import logger_for, spot_for, station_for
from climrisk.commands.shared.named_spots import HomePlaces, NamedSpot
from climrisk.commands.shared.parse import plant_state
from climrisk.commands.shared.plants import home_and_choice
from climrisk.commands.shared.potted_plant import PottedPlant
from climrisk.commands.shared.request import at_record
from climrisk.commands.shared.sources import Weather, hours_of
from climrisk.plants.registry import find
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.series import WeatherSeries
from climrisk.weather.tables.extremes import DailyExtremes

if TYPE_CHECKING:
    from climrisk.commands.review.command import ReviewInput
    from climrisk.commands.review.result import ReviewResult


def review(
    weather: Weather, given: ReviewInput, *, against: WeatherSeries | None = None
) -> ReviewResult:
    """Return a winter looked back on, by the logger of the spot where there is one.

    Parameters
    ----------
    weather : WeatherChoice or WeatherSeries
        The logger's file, or without one the station; with ``demo`` invented ones.
    given : ReviewInput
        Without plants, those of the home that stand on the spot.
    against : WeatherSeries, optional
        Hours of the station, in place of the one that `given` names.

    Raises
    ------
    InputError
        No weather, names that are not known, or no such winter.
    """
    chosen = weather if isinstance(weather, WeatherChoice) else WeatherChoice()
    own, choice = home_and_choice(chosen, given.home)
    known_state = plant_state(given.state)
    spot, plants, path = given.spot, given.plants, given.home
    if spot is None and own is not None and len(own.spot) >= 1:
        spot = own.spot[0].name
    named, kind = spot_for(spot, own, given.site)
    name = named or kind.name
    if own is not None and plants:
        standing = [
            PottedPlant(own.profile(p), p, name, kind, known_state) for p in plants
        ]
    elif own is not None:
        standing = [
            PottedPlant(
                *(plant, row.called, row.spot, kind, row.state, row.count),
                moves=row.moves,
            )
            for row, plant in own.entries()
            if named is not None
            and named.lower() in {row.spot.lower(), *(m.to.lower() for m in row.moves)}
        ]
    else:
        standing = [PottedPlant(find(p), p, name, kind, known_state) for p in plants]
    logger: WeatherSeries | DailyExtremes | None = None
    beside = own if path else None
    if chosen.file is not None or chosen.demo:
        mine = replace(choice, file=chosen.file)
        station = against or station_for(mine, beside, path, given.against)
        logger = logger_for(mine, station, "morning")
    else:
        station = hours_of(weather if isinstance(weather, WeatherSeries) else choice)
        compared = against is not None or given.against is not None
        if station.source.measured_at == "spot" and compared:
            logger = station
            mine = replace(choice, file=None)
            station = against or station_for(mine, beside, path, given.against)
        elif station.source.measured_at == "spot":
            # The spot's own record needs no offset, and has nothing beside it.
            kind = at_record(kind, station)
    height = given.elevation
    if height is None and own is not None and path is not None:
        height = own.height_m
    return _review(
        *(station, NamedSpot(name, kind), standing),
        logger=logger,
        home=HomePlaces("home" if own is None else own.name, height),
        shown=given.winter,
        below=given.below,
        members=given.members,
    )
