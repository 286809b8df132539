"""``climrisk assess``."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import JsonFlag, with_weather

if TYPE_CHECKING:
    from climrisk.weather.choose import WeatherChoice

Spot = Annotated[
    str | None,
    typer.Option(help="Kind of spot; as-measured where the record is of the spot."),
]
PotDiameter = Annotated[float, typer.Option(help="Inner diameter of the pot in cm.")]
PotKind = Annotated[str, typer.Option("--pot", help="Kind of pot.")]
Medium = Annotated[
    str, typer.Option(help='Medium, or a mix such as "50 akadama + 50 grit".')
]
Wetness = Annotated[str, typer.Option(help="Wetness of the medium: wet damp dry.")]
State = Annotated[
    str, typer.Option(help="Plant state: established in-spike unrooted new-import.")
]
Risk = Annotated[
    float, typer.Option(help="Accepted share of years with a cold night outside.")
]
Members = Annotated[
    int, typer.Option(help="Worlds of the spread; 1 is the middle world alone.")
]
Elevation = Annotated[
    float | None, typer.Option(help="Height of the home in m, if not the station's.")
]


@with_weather
def assess(
    choice: WeatherChoice,
    plant: Annotated[str, typer.Argument(help="Name, synonym or trade name.")],
    spot: Spot = None,
    pot_diameter: PotDiameter = 12.0,
    pot: PotKind = "thin-plastic",
    medium: Medium = "pine-bark-fine",
    wetness: Wetness = "damp",
    state: State = "established",
    risk: Risk = 0.1,
    members: Members = 20,
    elevation: Elevation = None,
    json: JsonFlag = False,
) -> None:
    """Before buying: would this plant suit this place, and where?"""
    from climrisk.report.assess_text import assess_text
    from climrisk.simulate.ask import question
    from climrisk.simulate.assess import assess as run
    from climrisk.weather.choose import load_weather

    asked = question(
        plant,
        spot=spot,
        pot_kind=pot,
        pot_diameter_cm=pot_diameter,
        medium=medium,
        wetness=wetness,
        state=state,
        risk=risk,
        members=members,
        elevation_m=elevation,
        today=choice.today,
    )
    weather = load_weather(choice)
    result = run(weather, asked.at_default_spot(weather))
    typer.echo(result.to_json() if json else assess_text(result))
