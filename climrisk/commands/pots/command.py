"""``climrisk pots``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.plant import AnyPlantInput, StateInput
from climrisk.inputs.pot import (
    ColorInput,
    LayersInput,
    PotsInput,
    SetupInput,
    SizeInput,
    StandInput,
    WateringInput,
    WetnessInput,
)
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class ComparePotsInput(
    AnyPlantInput,
    SpotInput,
    PotsInput,
    WetnessInput,
    LayersInput,
    StandInput,
    WateringInput,
    ColorInput,
    SizeInput,
    StateInput,
    SetupInput,
    ElevationInput,
    HomeInput,
    PageOutputs,
    WeatherInput,
):
    """Inputs of ``climrisk pots``."""

    below: Annotated[
        tuple[float, ...], Option("Temperature in °C; may be repeated.", unit="°C")
    ] = ()
    members: Annotated[int, Option("Ensemble members; 1 = the median only.")] = 5


def run(given: ComparePotsInput) -> Shown:
    """Which pot and medium keep roots warmer, drier, upright?"""
    from climrisk.commands.pots.page import exports
    from climrisk.commands.pots.request import pots
    from climrisk.commands.pots.text import pots_answer, pots_text

    result = pots(given.choice(), given)
    return Shown(with_files(result, exports, given), pots_answer, pots_text)


COMMAND = Command("pots", ComparePotsInput, run)
