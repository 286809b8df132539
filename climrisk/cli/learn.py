"""``climrisk learn``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    CsvFile,
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    PngFile,
    SiteWords,
    Spot,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def learn(
    choice: WeatherChoice,
    spot: Spot = None,
    site: SiteWords = None,
    against: Annotated[
        str | None,
        typer.Option(
            help="The station to compare with: its ID, a file, or demo; else the "
            "home's weather, else the best station near --at."
        ),
    ] = None,
    read: Annotated[
        str | None,
        typer.Option(
            help="When a min-max thermometer was read: morning or evening. "
            "[default: morning]"
        ),
    ] = None,
    elevation: Elevation = None,
    home: HomeFile = None,
    save: Annotated[
        bool, typer.Option("--save", help="Keep what was learned in the home file.")
    ] = False,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """Learn a spot's offsets from its logger (--file) against a station."""
    from climrisk.cli.show import show
    from climrisk.commands.learn.calibration import lesson
    from climrisk.commands.learn.page import learn_files
    from climrisk.commands.learn.text import learn_answer, learn_text

    result = lesson(
        choice,
        spot=spot,
        site=site or (),
        against=against,
        read=read,
        elevation=elevation,
        home=home,
        save=save,
    )
    files = learn_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: learn_answer(result), lambda: learn_text(result))
