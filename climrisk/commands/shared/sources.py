"""Where the hours of an answer come from, the home they belong to, and today."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.commands.shared.plants import home_and_choice
from climrisk.weather.selection import WeatherChoice, load_weather
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.home import Home

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
