"""``climrisk logger``."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    CsvFile,
    HomeFile,
    HtmlFile,
    JsonFlag,
    PngFile,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def logger(
    choice: WeatherChoice,
    path: Annotated[
        Path | None,
        typer.Argument(metavar="FILE", help="The logger's table; or give --file."),
    ] = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """What a logger's file is: clock, units, marks, coverage, and what it is worth."""
    from climrisk.cli.show import show
    from climrisk.commands.logger.compute import logger as run
    from climrisk.commands.logger.text import logger_answer, logger_text
    from climrisk.commands.shared.files import logger_files
    from climrisk.commands.shared.plants import record_choice

    result = run(record_choice(choice, path, home))
    files = logger_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: logger_answer(result), lambda: logger_text(result))
