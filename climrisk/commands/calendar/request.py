"""From what was given to a moving calendar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.calendar.compute import calendar as _calendar
from climrisk.commands.shared.exposures import sweep
from climrisk.commands.shared.nights_table import NightTable, night_table
from climrisk.commands.shared.parse import checked_spring, plant_state
from climrisk.commands.shared.plants import PlantsRequest, home_places, plants_request
from climrisk.commands.shared.sources import Weather, home_of, hours_of, today_of
from climrisk.commands.shared.weather_info import weather_info
from climrisk.core.arrays import Float
from climrisk.exposure.nights import Nights
from climrisk.inputs.values import Risk
from climrisk.spot.ensemble import ensemble
from climrisk.spot.transfer import prepare, spot_air_c

if TYPE_CHECKING:
    from climrisk.commands.calendar.command import CalendarInput
    from climrisk.commands.calendar.result import CalendarResult
    from climrisk.home.model import Home


def calendar(weather: Weather, given: CalendarInput) -> CalendarResult:
    """Return the monthly move-indoors calendar of named plants, or of the home's.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, choice, source = home_of(weather, given.home)
    request = _request(own, given)
    hours = hours_of(source)
    today = today_of(choice, given.as_of)
    return _calendar(
        hours,
        request.plants_at(hours, today),
        Risk(request.risk, checked_spring(given.spring_risk), given.strict),
        today=today,
        trips=given.trips,
        home=home_places(request.home, request.elevation_m),
        members=given.members,
    )


def _request(own: Home | None, given: CalendarInput) -> PlantsRequest:
    return plants_request(
        own,
        given.plants,
        spot=given.spot,
        site=given.site,
        state=plant_state(given.state),
        risk=given.risk,
        elevation_m=given.elevation,
    )


def calendar_nights(weather: Weather, given: CalendarInput) -> NightTable:
    """Return the nights of every spot outdoors that a calendar counts."""
    own, _, source = home_of(weather, given.home)
    request = _request(own, given)
    hours = hours_of(source)
    prepared = prepare(
        hours, ensemble(given.members), spot_elevation_m=request.elevation_m
    )
    spots: dict[str, tuple[Nights, dict[str, Float]]] = {}
    for potted in request.plants_at(hours):
        if potted.spot not in spots and not potted.kind.indoors:
            air = spot_air_c(prepared, potted.kind)
            spots[potted.spot] = (sweep(prepared, air, []).nights, {})
    return night_table(spots, weather_info(hours))
