"""``climrisk exposure``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import HomeFile, JsonFlag, with_weather

if TYPE_CHECKING:
    from climrisk.weather.selection import WeatherChoice


@with_weather
def exposure(
    choice: WeatherChoice,
    below: Annotated[
        list[float] | None, typer.Option(help="Temperature in °C; may be repeated.")
    ] = None,
    above: Annotated[
        list[float] | None, typer.Option(help="Temperature in °C; may be repeated.")
    ] = None,
    humidity_below: Annotated[
        list[float] | None,
        typer.Option(help="Relative humidity in %; may be repeated."),
    ] = None,
    vpd_above: Annotated[
        list[float] | None,
        typer.Option(help="Vapor pressure deficit in kPa; may be repeated."),
    ] = None,
    wind_above: Annotated[
        list[float] | None, typer.Option(help="Wind in m/s; may be repeated.")
    ] = None,
    inclusive: Annotated[
        bool, typer.Option("--inclusive", help="Count values equal to a threshold.")
    ] = False,
    home: HomeFile = None,
    json: JsonFlag = False,
) -> None:
    """Hours beyond thresholds of the record as it is, no plant."""
    from climrisk.cli.show import show
    from climrisk.commands import api
    from climrisk.commands.exposure.text import exposure_answer, exposure_text

    result = api.exposure(
        choice,
        home=home,
        below=below or (),
        above=above or (),
        humidity_below=humidity_below or (),
        vpd_above=vpd_above or (),
        wind_above=wind_above or (),
        inclusive=inclusive,
    )
    show(result, json, lambda: exposure_answer(result), lambda: exposure_text(result))
