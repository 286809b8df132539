"""``climrisk assess``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

from climrisk.cli.options import (
    Crocking,
    CsvFile,
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    LeafArea,
    Medium,
    Members,
    NightsFile,
    PlantHeight,
    PngFile,
    PotColor,
    PotDiameter,
    PotKind,
    Risk,
    Setup,
    SiteWords,
    Spot,
    SpringRisk,
    StandsOn,
    State,
    Strict,
    TopDressing,
    WateredEvery,
    Wetness,
    with_weather,
)

if TYPE_CHECKING:
    from pathlib import Path

    from climrisk.commands.assess.several_result import AssessSeveral
    from climrisk.weather.selection import WeatherChoice


@with_weather
def assess(
    choice: WeatherChoice,
    plant: Annotated[str, typer.Argument(help="Name, synonym or trade name.")],
    spot: Spot = None,
    site: SiteWords = None,
    pot_diameter: PotDiameter = None,
    pot: PotKind = None,
    medium: Medium = None,
    wetness: Wetness = None,
    crocking: Crocking = None,
    top_dressing: TopDressing = None,
    stands_on: StandsOn = None,
    watered_every: WateredEvery = None,
    pot_color: PotColor = None,
    plant_height: PlantHeight = None,
    leaf_area: LeafArea = None,
    state: State = None,
    risk: Risk = None,
    spring_risk: SpringRisk = None,
    strict: Strict = False,
    members: Members = 20,
    setup: Setup = None,
    elevation: Elevation = None,
    preferred: Annotated[
        float | None,
        typer.Option(help="Night minimum it prefers, in °C, from a source of yours."),
    ] = None,
    tolerated: Annotated[
        float | None, typer.Option(help="Coldest night it tolerates, in °C.")
    ] = None,
    hot_limit: Annotated[
        float | None, typer.Option(help="Advised day maximum, in °C.")
    ] = None,
    limit_source: Annotated[
        str | None, typer.Option(help="Where you read your own limits, or memory.")
    ] = None,
    means: Annotated[
        str | None,
        typer.Option(
            help="What a name that covers several plants means; remembered in --home."
        ),
    ] = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    png: PngFile = None,
    csv: CsvFile = None,
    nights: NightsFile = None,
    json: JsonFlag = False,
) -> None:
    """Before buying: would this plant suit this place, and where?"""
    from climrisk.cli.show import show
    from climrisk.commands.assess.ambiguous_names import assess_open, remember
    from climrisk.commands.assess.result import AssessResult
    from climrisk.commands.assess.text import assess_answer, assess_text
    from climrisk.commands.shared.files import assess_files

    if means is not None:
        remember(home, plant, means)
    asked: dict[str, Any] = {
        "spot": spot,
        "site": site or (),
        "pot": pot,
        "pot_diameter": pot_diameter,
        "medium": medium,
        "wetness": wetness,
        "crocking": crocking,
        "top_dressing": top_dressing,
        "stands_on": stands_on,
        "watered_every": watered_every,
        "pot_color": pot_color,
        "plant_height": plant_height,
        "leaf_area": leaf_area,
        "state": state,
        "risk": risk,
        "spring_risk": spring_risk,
        "members": members,
        "setup": setup,
        "elevation": elevation,
        "preferred": preferred,
        "tolerated": tolerated,
        "hot_limit": hot_limit,
        "limit_source": limit_source,
        "strict": strict,
    }
    result = assess_open(plant, choice, home=home, **asked)
    if not isinstance(result, AssessResult):
        _show_several(result, json, html=html, png=png, csv=csv)
        return
    one = result
    files = assess_files(one, choice.today, html=html, png=png, csv=csv)
    if nights is not None:
        from climrisk.commands.shared.nights_table import assess_nights
        from climrisk.render.write import csv_text, write_file

        table = assess_nights(plant, choice, home=home, **asked)
        data = csv_text(table.header, table.rows, table.weather)
        files.append(write_file(nights, data, option="--nights"))
    show(
        one,
        json,
        lambda: assess_answer(one, files),
        lambda: assess_text(one) + "".join(f"\nWritten: {f}" for f in files),
    )


def _show_several(result: AssessSeveral, json: bool, **outputs: Path | None) -> None:
    """Print the answers of a name that covers several plants."""
    from climrisk.cli.show import show
    from climrisk.commands.assess.several_text import several_answer, several_text
    from climrisk.commands.shared.files import several_files

    files = several_files(result, **outputs)
    several = result.model_copy(update={"files": files})
    show(several, json, lambda: several_answer(several), lambda: several_text(several))
