"""``climrisk arrive``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import (
    Elevation,
    HomeFile,
    HtmlFile,
    JsonFlag,
    Members,
    Risk,
    SiteWords,
    Spot,
    State,
    Strict,
    with_weather,
)

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def arrive(
    choice: WeatherChoice,
    plant: Annotated[str, typer.Argument(help="Name, synonym or trade name.")],
    spot: Spot = None,
    site: SiteWords = None,
    weeks: Annotated[
        int, typer.Option(help="Weeks looked ahead; a plant settles in 6 to 8.")
    ] = 7,
    state: State = None,
    strict: Strict = False,
    risk: Risk = None,
    members: Members = 20,
    elevation: Elevation = None,
    home: HomeFile = None,
    html: HtmlFile = None,
    json: JsonFlag = False,
) -> None:
    """A new plant: may it go to its place now, else hold it where and until when?"""
    from climrisk.cli.show import show
    from climrisk.commands.arrive.compute import arrive as run
    from climrisk.commands.arrive.text import arrive_answer, arrive_page, arrive_text
    from climrisk.render.write import write_file

    result = run(
        plant,
        choice,
        weeks=weeks,
        home=home,
        spot=spot,
        site=site or (),
        state=state,
        strict=strict,
        risk=risk,
        members=members,
        elevation=elevation,
    )
    if html is not None:
        written = write_file(html, arrive_page(result), option="--html")
        result = result.model_copy(update={"files": [written]})
    show(result, json, lambda: arrive_answer(result), lambda: arrive_text(result))
