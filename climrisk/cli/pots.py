"""``climrisk pots``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    Crocking,
    CsvFile,
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    LeafArea,
    PlantHeight,
    PngFile,
    PotColor,
    Setup,
    SiteWords,
    Spot,
    StandsOn,
    State,
    TopDressing,
    WateredEvery,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def pots(
    choice: WeatherChoice,
    plant: Annotated[
        str | None, typer.Argument(help="Plant whose minimum is counted.")
    ] = None,
    spot: Spot = None,
    site: SiteWords = None,
    pot: Annotated[
        list[str] | None,
        typer.Option(help="Kind of pot; may be repeated."),
    ] = None,
    medium: Annotated[
        list[str] | None,
        typer.Option(help="Medium or mix; may be repeated."),
    ] = None,
    pot_diameter: Annotated[
        list[float] | None,
        typer.Option(help="Inner diameter in cm; may be repeated. [default: 12]"),
    ] = None,
    wetness: Annotated[
        str | None, typer.Option(help="Wetness of the media: wet damp dry.")
    ] = None,
    crocking: Crocking = None,
    top_dressing: TopDressing = None,
    stands_on: StandsOn = None,
    watered_every: WateredEvery = None,
    pot_color: PotColor = None,
    plant_height: PlantHeight = None,
    leaf_area: LeafArea = None,
    below: Annotated[
        list[float] | None, typer.Option(help="Temperature in °C; may be repeated.")
    ] = None,
    state: State = None,
    members: Annotated[
        int, typer.Option(help="Ensemble members; 1 = the median only.")
    ] = 5,
    setup: Setup = None,
    elevation: Elevation = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """Compare pots and media: which keeps the roots warmer by night, and why."""
    from climrisk.cli.show import show
    from climrisk.commands import api
    from climrisk.commands.pots.text import pots_answer, pots_text
    from climrisk.commands.shared.files import pots_files

    result = api.pots(
        choice,
        plant=plant,
        spot=spot,
        site=site or (),
        pot=pot or (),
        medium=medium or (),
        pot_diameter=pot_diameter or (),
        wetness=wetness,
        crocking=crocking,
        top_dressing=top_dressing,
        stands_on=stands_on,
        watered_every=watered_every,
        pot_color=pot_color,
        plant_height=plant_height,
        leaf_area=leaf_area,
        below=below or (),
        state=state,
        members=members,
        setup=setup,
        elevation=elevation,
        home=home,
    )
    files = pots_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: pots_answer(result), lambda: pots_text(result))
