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
    Spot,
    State,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.choose import WeatherChoice


@with_weather
def winter(
    choice: WeatherChoice,
    plant: Annotated[
        str | None, typer.Argument(help="Plant whose limits are counted.")
    ] = None,
    spot: Spot = None,
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
    from climrisk.plants.registry import find
    from climrisk.report.files import winter_files
    from climrisk.report.winter_text import winter_text
    from climrisk.simulate.kept import home_and_choice, spot_of
    from climrisk.simulate.winter import winter as run
    from climrisk.weather.choose import load_weather

    own, chosen = home_and_choice(choice, home)
    profile = None if plant is None else find(plant)
    weather = load_weather(chosen)
    name, kind = spot_of(spot, own, weather)
    height = elevation if elevation is not None or own is None else own.elevation_m
    result = run(
        weather,
        kind,
        spot=name,
        plant=profile,
        state=state or "established",
        below=below or (),
        shown=which,
        elevation_m=height if home is not None or elevation is not None else None,
        members=members,
    )
    files = winter_files(result, html=html, png=png, csv=csv)
    report = str(html) if html is not None else None
    result = result.model_copy(update={"files": files, "report": report})
    typer.echo(result.to_json() if json else winter_text(result))
