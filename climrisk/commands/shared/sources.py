"""Where the hours of an answer come from, the home they belong to, and today."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.commands.shared.parse import request_of
from climrisk.commands.shared.plants import home_and_choice
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.commands.shared.request import AssessRequest
    from climrisk.home import Home
    from climrisk.inputs.option import Inputs

Weather = WeatherChoice | WeatherSeries


def home_of(
    weather: Weather, home: Path | None
) -> tuple[Home | None, WeatherChoice, Weather]:
    """Return the home, the choice with its today, and where the hours come from."""
    if isinstance(weather, WeatherSeries):
        own, choice = home_and_choice(WeatherChoice(), home)
        return own, choice, weather
    own, choice = home_and_choice(weather, home)
    return own, choice, choice


def hours_of(source: Weather) -> WeatherSeries:
    """Return the hours of a weather, chosen or at hand."""
    return source if isinstance(source, WeatherSeries) else load_weather(source)


def today_of(choice: WeatherChoice, as_of: date | None) -> date:
    """Return the day that counts as today."""
    return choice.today if as_of is None else replace(choice, as_of=as_of).today


def requested(weather: Weather, given: Inputs) -> tuple[AssessRequest, Weather]:
    """Return the request about one plant, checked, and where its hours come from.

    Parameters
    ----------
    weather : WeatherSeries or WeatherChoice
    given : Inputs
        Of a command about one plant, with ``home`` and ``as_of``. Only a home file
        counts here, not the built-in home of the demo weather.
    """
    said = vars(given)
    own, choice, source = home_of(weather, said["home"])
    today = today_of(choice, said["as_of"])
    return request_of(given, own if said["home"] else None, today), source
