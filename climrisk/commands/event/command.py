"""``climrisk event``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.plant import PlantsInput, StateInput
from climrisk.inputs.risk import MembersInput
from climrisk.inputs.spot import ElevationInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class EventInput(
    PlantsInput,
    StateInput,
    MembersInput,
    ElevationInput,
    HomeInput,
    PageOutputs,
    WeatherInput,
):
    """Inputs of ``climrisk event``."""

    words: Annotated[
        str | None,
        Option(
            "The event in words, such as '3.1 at 06:00, 7 h below 8'; "
            f"{field('to')} is the day "
            "it ended.",
            label="What happened, in your words",
        ),
    ] = None
    spot: Annotated[
        str | None,
        Option(
            "Kind of spot, or a spot of the home: where it was cold, or where the "
            "logger was.",
            name="at-spot",
            label="Where it was cold",
            listed="spots",
        ),
    ] = None


def run(given: EventInput) -> Shown:
    """It got cold: what did the plants get, and what now?"""
    from climrisk.commands.event.page import exports
    from climrisk.commands.event.request import event
    from climrisk.commands.event.text import event_answer, event_text

    result = event(given.choice(), given)
    return Shown(with_files(result, exports, given), event_answer, event_text)


COMMAND = Command("event", EventInput, run)
