"""``climrisk init``: its inputs; the command line asks for what is not given."""

from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

from climrisk.core.references import field
from climrisk.inputs.option import Option
from climrisk.inputs.risk import RiskInput
from climrisk.inputs.spot import ElevationInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class InitInput(RiskInput, ElevationInput, WeatherInput):
    """Inputs of ``climrisk init``."""

    path: Annotated[
        Path, Option("The home file to write.", argument=True, metavar="[FILE]")
    ] = Path("home.toml")
    name: Annotated[str | None, Option("Name of the home.")] = None
    spot: Annotated[
        tuple[str, ...], Option("A spot as NAME=KIND, or a kind; repeatable.")
    ] = ()
    room: Annotated[
        tuple[str, ...],
        Option("A room that plants are carried into, as NAME=KIND."),
    ] = ()
    plant: Annotated[tuple[str, ...], Option("A plant as PLANT@SPOT; repeatable.")] = ()
    plants: Annotated[
        Path | None,
        Option(
            "A CSV file of plants with the columns name, spot, pot, diameter, medium, "
            "count and label; only name is needed."
        ),
    ] = None
    force: Annotated[
        bool,
        Option("Replace a file that is there; it stays beside.", repeated=False),
    ] = False
    preview: Annotated[
        bool, Option(f"Only say how each name of {field('plants')} is understood.")
    ] = False
