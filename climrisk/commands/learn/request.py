"""From what was given to a calibration: which logger, which station, which spot."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.commands.learn.compute import LearnedSpot
from climrisk.commands.learn.compute import learn as _learn
from climrisk.commands.learn.result import LearnResult
from climrisk.commands.shared.logger import logger_for, spot_for, station_for
from climrisk.commands.shared.plants import home_and_choice
from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.references import HOME, by, field, off_page
from climrisk.home import edit_home
from climrisk.weather.selection import WeatherChoice
from climrisk.weather.series import WeatherSeries

if TYPE_CHECKING:
    from climrisk.commands.learn.command import LearnInput

READ = ("morning", "evening")


def learn(
    weather: WeatherChoice | WeatherSeries,
    given: LearnInput,
    *,
    against: WeatherSeries | None = None,
) -> LearnResult:
    """Return what a logger teaches of a spot, and keep it in the home file if asked.

    Parameters
    ----------
    weather : WeatherChoice or WeatherSeries
        The logger's: a choice with its file; with ``demo`` an invented one.
    given : LearnInput
    against : WeatherSeries, optional
        Hours of the station, in place of the one that `given` names.

    Raises
    ------
    InputError
        No logger, no spot of the home to save, or what `learn` refuses.
    """
    series = weather if isinstance(weather, WeatherSeries) else None
    choice = weather if isinstance(weather, WeatherChoice) else WeatherChoice()
    if series is None and choice.file is None and not choice.demo:
        raise InputError(
            "no logger given",
            where="learn",
            allowed=off_page(f"{field('file', 'LOG')}: ")
            + "a logger's table, or dates with minimum and maximum",
            next_step=by(
                cli=f"climrisk learn {field('demo')} tries it on invented weeks"
            ),
        )
    own, _ = home_and_choice(choice, given.home)
    if given.home is None and not choice.demo:
        own = None
    named, kind = spot_for(given.spot, own, given.site)
    when = validation.named(
        given.read or "morning", READ, what="time of reading", where=field("read")
    )
    elevation = given.elevation
    if elevation is not None:
        validation.elevation(elevation, where=field("elevation"))
    elif own is not None and given.home is not None:
        elevation = own.height_m
    if given.save and (given.home is None or own is None or named is None):
        raise InputError(
            "nowhere to save",
            where=field("save"),
            allowed=f"{HOME} and {field('spot')} with the name of one of its spots",
        )
    station = against or station_for(
        choice, own if given.home is not None else None, given.home, given.against
    )
    logger = series or logger_for(
        choice, station, "evening" if when == "evening" else "morning"
    )
    taught = _learn(logger, station, kind, spot=named or "", elevation_m=elevation)
    if not given.save or given.home is None or named is None:
        return taught.result
    _keep(given.home, named, taught, choice.today)
    return taught.result.model_copy(update={"saved": str(given.home)})


def _keep(home: Path, spot: str, taught: LearnedSpot, today: date) -> None:
    """Write what was learned into the spot's table, in place of what stood there."""
    import tomlkit

    values = asdict(taught.learned)
    rows = values.pop("evidence")
    table = tomlkit.table()
    table.add("on", today.isoformat())
    for key, value in values.items():
        table.add(key, list(value) if isinstance(value, tuple) else value)
    several = tomlkit.aot()
    for row in rows:
        item = tomlkit.table()
        item.update(row)
        several.append(item)
    table.add("evidence", several)
    with edit_home(home) as edit:
        place = edit.spot(spot)
        if "learned" in place:
            del place["learned"]
        place.add("learned", table)
