"""``climrisk learn``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class LearnInput(SpotInput, ElevationInput, HomeInput, PageOutputs, WeatherInput):
    """Inputs of ``climrisk learn``."""

    against: Annotated[
        str | None,
        Option(
            "The station to compare with: its ID, a file, or demo; else the home's "
            f"weather, else the best station near {field('at')}.",
            page=False,
        ),
    ] = None
    read: Annotated[
        str | None,
        Option(
            "When a min-max thermometer was read: morning or evening.",
            label="A min-max thermometer was read",
            default="morning",
            choices=(("morning", "in the morning"), ("evening", "in the evening")),
        ),
    ] = None
    save: Annotated[
        bool,
        Option("Keep what was learned in the home file.", repeated=False, page=False),
    ] = False


def run(given: LearnInput) -> Shown:
    """How much warmer is my spot than the station?"""
    from climrisk.commands.learn.page import exports
    from climrisk.commands.learn.request import learn
    from climrisk.commands.learn.text import learn_answer, learn_text

    result = learn(given.choice(), given)
    return Shown(with_files(result, exports, given), learn_answer, learn_text)


COMMAND = Command("learn", LearnInput, run)
