"""``climrisk review``."""

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
    SiteWords,
    Spot,
    State,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def review(
    choice: WeatherChoice,
    plants: Annotated[
        list[str] | None,
        typer.Argument(help="Plants; without any, those of the home at the spot."),
    ] = None,
    spot: Spot = None,
    site: SiteWords = None,
    against: Annotated[
        str | None,
        typer.Option(
            help="The station to compare the logger (--file) with: its ID, a file, or "
            "demo; else the home's weather, else the best station near --at."
        ),
    ] = None,
    winter: Annotated[
        str | None,
        typer.Option(
            help="Winter to look back on, such as 2024/25. [default: the "
            "logger's, else the last]"
        ),
    ] = None,
    below: Annotated[
        list[float] | None,
        typer.Option(help="Thresholds in °C. [default: 13, 10, 5 and 0]"),
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
    """The year looked back on: logger against model, rank, near misses."""
    from climrisk.cli.show import show
    from climrisk.commands import home_api
    from climrisk.commands.review.page import review_files
    from climrisk.commands.review.text import review_answer, review_text

    result = home_api.review(
        choice,
        plants or (),
        spot=spot,
        site=site or (),
        against=against,
        winter=winter,
        below=below or (),
        state=state,
        members=members,
        elevation=elevation,
        home=home,
    )
    files = review_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: review_answer(result), lambda: review_text(result))
