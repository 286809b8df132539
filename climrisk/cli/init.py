"""``climrisk init``."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import Elevation, JsonFlag, Risk, with_weather
from climrisk.cli.provenance import show

if TYPE_CHECKING:
    from climrisk.weather.choose import WeatherChoice


@with_weather
def init(
    choice: WeatherChoice,
    path: Annotated[
        Path, typer.Argument(metavar="[FILE]", help="The home file to write.")
    ] = Path("home.toml"),
    name: Annotated[str | None, typer.Option(help="Name of the home.")] = None,
    spot: Annotated[
        list[str] | None,
        typer.Option(help="A spot as NAME=KIND, or a kind; repeatable."),
    ] = None,
    room: Annotated[
        list[str] | None,
        typer.Option(help="A room that plants are carried into, as NAME=KIND."),
    ] = None,
    plant: Annotated[
        list[str] | None,
        typer.Option(help="A plant as PLANT@SPOT; repeatable."),
    ] = None,
    risk: Risk = None,
    elevation: Elevation = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace a file that is there; it stays beside."),
    ] = False,
    json: JsonFlag = False,
) -> None:
    """Write a commented home file; on a terminal it asks for what is not said."""
    from climrisk.report.init_text import init_text
    from climrisk.simulate.new_home import init as run

    spots, plants = spot or [], plant or []
    if sys.stdin.isatty() and not json:
        if not (choice.demo or choice.file or choice.town or choice.at):
            choice = _asked_weather(choice)
        spots = spots or _asked("Spots, as NAME=KIND, parted by ;", "balcony")
        plants = plants or _asked("Plants, as PLANT@SPOT, parted by ;", "")
    result = run(
        path,
        choice,
        name=name,
        spot=spots,
        room=room or (),
        plant=plants,
        risk=risk,
        elevation=elevation,
        force=force,
    )
    show(result, init_text, json=json)


def _asked_weather(choice: WeatherChoice) -> WeatherChoice:
    """Return the weather with the place that is answered; empty takes the demo."""
    from climrisk.weather.choose import parse_at

    if choice.station:
        return choice
    place = typer.prompt(
        "Place: TOWN,COUNTRY or LAT,LON,ELEVATION (empty: the invented demo weather)",
        default="",
        show_default=False,
        err=True,
    ).strip()
    if not place:
        return replace(choice, demo=True)
    if place[0].isdigit() or place[0] == "-":
        return replace(choice, at=parse_at(place))
    return replace(choice, town=place)


def _asked(question: str, usual: str) -> list[str]:
    kept = {"balcony": "balcony=roofed-balcony"}.get(usual, "")
    said = typer.prompt(question, default=kept, show_default=bool(kept), err=True)
    return [part.strip() for part in said.split(";") if part.strip()]
