"""``climrisk stations``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import HomeFile, JsonFlag, with_weather

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def stations(
    choice: WeatherChoice,
    count: Annotated[int, typer.Option(help="How many to list.")] = 10,
    archive: Annotated[
        bool, typer.Option("--archive", help="List and verify what is stored here.")
    ] = False,
    remove: Annotated[
        str | None, typer.Option(help="Remove a station from the archive.")
    ] = None,
    home: HomeFile = None,
    json: JsonFlag = False,
) -> None:
    """Stations near a place, and the archive of their hours."""
    from climrisk.cli.show import show
    from climrisk.commands.shared.plants import place_choice
    from climrisk.commands.stations import compute as room
    from climrisk.commands.stations.text import stations_answer, stations_text

    if archive or remove is not None:
        result = room.archive(remove)
    else:
        result = room.stations(place_choice(choice, home), count=count)
    show(result, json, lambda: stations_answer(result), lambda: stations_text(result))
