"""``climrisk event``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    CsvFile,
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    Members,
    PngFile,
    State,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def event(
    choice: WeatherChoice,
    plants: Annotated[
        list[str] | None,
        typer.Argument(help="Plants; without any, those of the home."),
    ] = None,
    words: Annotated[
        str | None,
        typer.Option(
            help="The event in words, such as '3.1 at 06:00, 7 h below 8'; --to is the "
            "day it ended."
        ),
    ] = None,
    at_spot: Annotated[
        str | None,
        typer.Option(
            "--at-spot",
            help="Kind of spot, or a spot of the home: where it was cold, or where "
            "the logger was.",
        ),
    ] = None,
    state: State = None,
    members: Members = 20,
    elevation: Elevation = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """After a cold event: what each plant met, when to look, what not to do."""
    from climrisk.cli.show import show
    from climrisk.commands import home_api
    from climrisk.commands.event.page import event_files
    from climrisk.commands.event.text import event_answer, event_text

    result = home_api.event(
        choice,
        plants or (),
        words=words,
        spot=at_spot,
        state=state,
        members=members,
        elevation=elevation,
        home=home,
    )
    files = event_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: event_answer(result), lambda: event_text(result))
