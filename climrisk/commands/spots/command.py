"""``climrisk spots``: its inputs, and what it runs."""

from dataclasses import dataclass

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.plant import PlantInput, StateInput
from climrisk.inputs.pot import PotInput
from climrisk.inputs.risk import MembersInput, StrictInput
from climrisk.inputs.spot import ElevationInput, SpotsInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class RankSpotsInput(
    PlantInput,
    SpotsInput,
    PotInput,
    StateInput,
    StrictInput,
    MembersInput,
    ElevationInput,
    HomeInput,
    PageOutputs,
    WeatherInput,
):
    """Inputs of ``climrisk spots``."""


def run(given: RankSpotsInput) -> Shown:
    """Which of my spots is best for this plant?"""
    from climrisk.commands.spots.page import exports
    from climrisk.commands.spots.request import ranked
    from climrisk.commands.spots.text import spots_answer, spots_text

    result = ranked(given.choice(), given)
    return Shown(with_files(result, exports, given), spots_answer, spots_text)


COMMAND = Command("spots", RankSpotsInput, run)
