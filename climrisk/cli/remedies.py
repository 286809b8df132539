"""``climrisk remedies``."""

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
    Risk,
    SiteWords,
    Spot,
    StandsOn,
    State,
    Strict,
    Wetness,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def remedies(
    choice: WeatherChoice,
    plant: Annotated[str, typer.Argument(help="Name, synonym or trade name.")],
    spot: Spot = None,
    site: SiteWords = None,
    pot_diameter: PotDiameter = None,
    pot: PotKind = None,
    medium: Medium = None,
    wetness: Wetness = None,
    stands_on: StandsOn = None,
    state: State = None,
    strict: Strict = False,
    risk: Risk = None,
    members: Members = 20,
    elevation: Elevation = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    json: JsonFlag = False,
) -> None:
    """What helps most: spot, pot, medium, cover and indoor months, each in hours."""
    from climrisk.cli.show import show
    from climrisk.commands.remedies.request import remedies as run
    from climrisk.commands.remedies.text import (
        remedies_answer,
        remedies_files,
        remedies_text,
    )

    result = run(
        plant,
        choice,
        home=home,
        spot=spot,
        site=site or (),
        pot=pot,
        pot_diameter=pot_diameter,
        medium=medium,
        wetness=wetness,
        stands_on=stands_on,
        state=state,
        strict=strict,
        risk=risk,
        members=members,
        elevation=elevation,
    )
    files = remedies_files(result, html=html, png=png, csv=csv)
    result = result.model_copy(update={"files": files})
    show(result, json, lambda: remedies_answer(result), lambda: remedies_text(result))
