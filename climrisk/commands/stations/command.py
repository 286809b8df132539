"""``climrisk stations``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.inputs.files import HomeInput
from climrisk.inputs.option import Option
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class StationsInput(HomeInput, WeatherInput):
    """Inputs of ``climrisk stations``."""

    count: Annotated[int, Option("How many to list.")] = 10
    archive: Annotated[
        bool, Option("List and verify what is stored here.", page=False)
    ] = False
    remove: Annotated[
        str | None,
        Option("Remove a station from the archive.", repeated=False, page=False),
    ] = None


def run(given: StationsInput) -> Shown:
    """Which weather stations are near?"""
    from climrisk.commands.shared.plants import place_choice
    from climrisk.commands.stations.compute import archive, stations
    from climrisk.commands.stations.text import stations_answer, stations_text

    if given.archive or given.remove is not None:
        result = archive(given.remove)
    else:
        place = place_choice(given.choice(), given.home)
        result = stations(place, count=given.count)
    return Shown(result, stations_answer, stations_text)


COMMAND = Command("stations", StationsInput, run)
