"""``climrisk winter``."""

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
def winter(
    choice: WeatherChoice,
    plant: Annotated[
        str | None, typer.Argument(help="Plant whose limits are counted.")
    ] = None,
    spot: Spot = None,
    site: SiteWords = None,
    below: Annotated[
        list[float] | None, typer.Option(help="Temperature in °C; may be repeated.")
    ] = None,
    which: Annotated[
        str | None,
        typer.Option(
            "--winter", help="Winter to show, such as 2019/20; the last else."
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
    """The winter exposure of a spot, night by night."""
    from climrisk.cli.show import show
    from climrisk.commands import api
    from climrisk.commands.shared.files import winter_files
    from climrisk.commands.winter.text import winter_answer, winter_text

    result = api.winter(
        choice,
        plant=plant,
        spot=spot,
        site=site or (),
        below=below or (),
        shown=which,
        state=state,
        members=members,
        elevation=elevation,
        home=home,
    )
    files = winter_files(result, html=html, png=png, csv=csv)
    report = str(html) if html is not None else None
    result = result.model_copy(update={"files": files, "report": report})
    show(result, json, lambda: winter_answer(result), lambda: winter_text(result))
