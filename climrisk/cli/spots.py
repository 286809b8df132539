"""``climrisk spots``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    CsvFile,
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    Medium,
    Members,
    PngFile,
    PotDiameter,
    PotKind,
    SiteWords,
    State,
    Strict,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def spots(
    choice: WeatherChoice,
    plant: Annotated[str, typer.Argument(help="Plant to rank the spots for.")],
    spot: Annotated[
        list[str] | None,
        typer.Option(
            help="Kind, or spot of the home; may be repeated. [default: all of "
            "the home, else all kinds]"
        ),
    ] = None,
    site: SiteWords = None,
    pot: PotKind = None,
    pot_diameter: PotDiameter = None,
    medium: Medium = None,
    state: State = None,
    strict: Strict = False,
    members: Members = 20,
    elevation: Elevation = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """Rank the spots of a home for a plant, clear still nights and windy ones apart."""
    from climrisk.cli.show import show
    from climrisk.commands.spots.page import spots_files
    from climrisk.commands.spots.request import ranked
    from climrisk.commands.spots.text import spots_answer, spots_text

    result = ranked(
        plant,
        choice,
        spot=spot or (),
        site=site or (),
        pot=pot,
        pot_diameter=pot_diameter,
        medium=medium,
        state=state,
        strict=strict,
        members=members,
        elevation=elevation,
        home=home,
    )
    files = spots_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: spots_answer(result), lambda: spots_text(result))
