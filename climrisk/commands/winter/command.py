"""``climrisk winter``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.plant import AnyPlantInput, StateInput
from climrisk.inputs.risk import MembersInput
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class WinterInput(
    AnyPlantInput,
    SpotInput,
    StateInput,
    MembersInput,
    ElevationInput,
    HomeInput,
    PageOutputs,
    WeatherInput,
):
    """Inputs of ``climrisk winter``."""

    below: Annotated[
        tuple[float, ...], Option("Temperature in °C; may be repeated.", unit="°C")
    ] = ()
    shown: Annotated[
        str | None,
        Option(
            "Winter to show, such as 2019/20.",
            name="winter",
            label="Winter",
            default="the last",
        ),
    ] = None


def run(given: WinterInput) -> Shown:
    """How cold is a winter here, night by night?"""
    from climrisk.commands.winter.page import exports
    from climrisk.commands.winter.request import winter
    from climrisk.commands.winter.text import winter_answer, winter_text

    result = winter(given.choice(), given)
    report = str(given.html) if given.html is not None else None
    result = with_files(result, exports, given, report=report)
    return Shown(result, winter_answer, winter_text)


COMMAND = Command("winter", WinterInput, run)
