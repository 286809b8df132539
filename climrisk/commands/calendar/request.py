"""From what was given to a moving calendar."""

from __future__ import annotations

from typing import TYPE_CHECKING

from climrisk.commands.calendar.compute import calendar as _calendar
from climrisk.commands.shared.parse import checked_spring, plant_state
from climrisk.commands.shared.plants import home_places, plants_request
from climrisk.commands.shared.sources import Weather, home_of, hours_of, today_of
from climrisk.inputs.values import Risk

if TYPE_CHECKING:
    from climrisk.commands.calendar.command import CalendarInput
    from climrisk.commands.calendar.result import CalendarResult


def calendar(weather: Weather, given: CalendarInput) -> CalendarResult:
    """Return the monthly move-indoors calendar of named plants, or of the home's.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, choice, source = home_of(weather, given.home)
    request = plants_request(
        own,
        given.plants,
        spot=given.spot,
        site=given.site,
        state=plant_state(given.state),
        risk=given.risk,
        elevation_m=given.elevation,
    )
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
