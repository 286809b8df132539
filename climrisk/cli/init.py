"""``climrisk init``."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import Elevation, JsonFlag, Risk, with_weather
from climrisk.cli.provenance import show

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


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
    plants: Annotated[
        Path | None,
        typer.Option(
            "--plants",
            help="A CSV file of plants with the columns name, spot, pot, diameter, "
            "medium, count and label; only name is needed.",
        ),
    ] = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace a file that is there; it stays beside."),
    ] = False,
    preview: Annotated[
        bool,
        typer.Option(
            "--preview", help="Only say how each name of --plants is understood."
        ),
    ] = False,
    json: JsonFlag = False,
) -> None:
    """Write a commented home file; on a terminal it asks for what is not said."""
    from climrisk.cli.questions import Answers, ask_all, say
    from climrisk.cli.questions import preview as shown
    from climrisk.commands.init.compute import check_free, plant_rows
    from climrisk.commands.init.compute import init as run
    from climrisk.commands.init.text import init_text
    from climrisk.core.output_paths import check_outputs

    if plants is not None and not preview:
        check_outputs({"home file": path}, [plants])
    rows = None if plants is None else plant_rows(plants)
    if rows is not None and not json:
        say(shown(rows))
    if preview:
        if rows is None:
            raise typer.BadParameter("--preview needs --plants FILE.csv")
        return
    answers = Answers(choice, list(spot or ()), list(room or ()), list(rows or ()))
    if sys.stdin.isatty() and not json:
        # Nobody answers for a file that cannot be written in the end.
        check_free(path, force=force)
        named = choice.demo or choice.file or choice.town or choice.at or choice.station
        answers.plants = []
        try:
            ask_all(answers, rows, weather=not named, plants=not plant)
            if not typer.confirm(f"Write {path}?", default=True, err=True):
                raise typer.Abort
        except (typer.Abort, KeyboardInterrupt):
            say(f"\nNothing was written. To go on from here:\n{answers.command(path)}")
            raise
    result = run(
        path,
        answers.choice,
        name=name,
        spot=answers.spots,
        room=answers.rooms,
        plant=plant or (),
        collection=answers.plants,
        risk=risk,
        elevation=elevation,
        force=force,
    )
    show(result, init_text, json=json)
