"""From what was given to a calibration: which logger, which station, which spot."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from climrisk.commands.learn.compute import LearnedSpot
from climrisk.commands.learn.compute import learn as _learn
from climrisk.commands.learn.result import LearnResult
from climrisk.commands.shared.plants import home_and_choice
from climrisk.commands.shared.request import DEFAULT_SPOT
from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.paths import is_file, shown_name
from climrisk.core.references import HOME, by, field, off_page
from climrisk.home import Home, edit_home
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.site import parse_site
from climrisk.weather.files import read_text, read_weather
from climrisk.weather.selection import WeatherChoice, load_weather, place_of
from climrisk.weather.series import Place, WeatherSeries
from climrisk.weather.synthetic import demo_weather
from climrisk.weather.synthetic_log import demo_log
from climrisk.weather.tables.extremes import DailyExtremes, is_extremes, read_extremes
from climrisk.weather.tables.logger import TableFormat

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


def spot_for(
    spot: str | None, own: Home | None, site: Sequence[str]
) -> tuple[str | None, SpotKind]:
    """Return the name in the home, if it has one, and the kind of a spot."""
    particulars = parse_site(site) if site else None
    if own is not None and spot is not None and own.knows_spot(spot):
        found = own.spot_named(spot)
        return found.name, found.as_kind.with_site(particulars)
    return None, spot_kind(spot or DEFAULT_SPOT).with_site(particulars)


def station_for(
    choice: WeatherChoice, own: Home | None, home: Path | None, against: str | None
) -> WeatherSeries:
    """Return the station that a logger is compared with."""
    if against == "demo" or (against is None and choice.demo):
        return demo_weather()
    if against is not None:
        path = Path(against)
        if is_file(path) or path.suffix:
            return read_weather(
                path,
                place=place_of(choice),
                temperature_unit=choice.temperature_unit,
                date_order=choice.date_order,
                clock=choice.clock,
                measured_at="station",
            )
        return load_weather(WeatherChoice(station=against, as_of=choice.as_of))
    if own is not None and home is not None:
        series = load_weather(own.choice(home.resolve().parent, WeatherChoice()))
        if series.source.measured_at == "spot":
            raise InputError(
                "the home's weather is a logger's own, so there is nothing to compare",
                where=field("home"),
                value=series.source.label,
                allowed=f"{field('against', 'STATION')}, or a file of a station",
            )
        return series
    if choice.at is None:
        raise InputError(
            "no station to compare with",
            where="learn",
            allowed=f"{field('against', 'ID')} or FILE, or "
            f"{field('at', 'LAT,LON')} for the best one near",
        )
    return load_weather(WeatherChoice(at=choice.at, as_of=choice.as_of))


def logger_for(
    choice: WeatherChoice,
    station: WeatherSeries,
    read: Literal["morning", "evening"],
) -> WeatherSeries | DailyExtremes:
    """Return the logger's hours, or its table of extremes."""
    if choice.demo:
        return demo_log(station)
    assert choice.file is not None
    text = read_text(choice.file)
    specified = TableFormat(
        choice.temperature_unit, choice.date_order, choice.clock, choice.column
    )
    if is_extremes(text, choice.file):
        return read_extremes(choice.file, text, specified, read=read)
    # Without --at the logger hung in the station's own seasons and zone.
    there = station.place
    place: Place = place_of(choice) or replace(there, name=shown_name(choice.file))
    return read_weather(
        choice.file,
        place=place,
        temperature_unit=choice.temperature_unit,
        date_order=choice.date_order,
        clock=choice.clock,
        column=choice.column,
        measured_at="spot",
    )


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
