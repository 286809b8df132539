"""``climrisk remedies``: its inputs, and what it runs."""

from dataclasses import dataclass

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.plant import LimitInput, PlantInput, StateInput
from climrisk.inputs.pot import PotInput, StandInput, WetnessInput
from climrisk.inputs.risk import MembersInput, RiskInput, StrictInput
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class RemediesInput(
    PlantInput,
    SpotInput,
    PotInput,
    WetnessInput,
    StandInput,
    StateInput,
    StrictInput,
    RiskInput,
    MembersInput,
    ElevationInput,
    LimitInput,
    HomeInput,
    PageOutputs,
    WeatherInput,
):
    """Inputs of ``climrisk remedies``."""


def run(given: RemediesInput) -> Shown:
    """What helps this plant most where it is?"""
    from climrisk.commands.remedies.page import exports
    from climrisk.commands.remedies.request import remedies
    from climrisk.commands.remedies.text import (
        remedies_answer,
        remedies_text,
    )

    result = remedies(given.choice(), given)
    return Shown(with_files(result, exports, given), remedies_answer, remedies_text)


COMMAND = Command("remedies", RemediesInput, run)
