"""The logger of a spot, and the station to compare it with."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Literal

from climrisk.core.defaults import DEFAULT_SPOT
from climrisk.core.errors import InputError
from climrisk.core.paths import is_file, shown_name
from climrisk.core.references import field
from climrisk.home import Home
from climrisk.spot.kinds import SpotKind, spot_kind
from climrisk.spot.site import parse_site
from climrisk.weather.files import read_text, read_weather
from climrisk.weather.selection import WeatherChoice, load_weather, place_of
from climrisk.weather.series import Place, WeatherSeries
from climrisk.weather.synthetic import demo_weather
from climrisk.weather.synthetic_log import demo_log
from climrisk.weather.tables.extremes import DailyExtremes, is_extremes, read_extremes
from climrisk.weather.tables.logger import TableFormat


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
