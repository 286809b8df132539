"""``climrisk arrive``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.core.defaults import WEEKS_AHEAD
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, HtmlOutput
from climrisk.inputs.option import Option
from climrisk.inputs.plant import LimitInput, PlantInput, StateInput
from climrisk.inputs.risk import MembersInput, RiskInput, StrictInput
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class ArriveInput(
    PlantInput,
    SpotInput,
    StateInput,
    StrictInput,
    RiskInput,
    MembersInput,
    ElevationInput,
    LimitInput,
    HomeInput,
    HtmlOutput,
    WeatherInput,
):
    """Inputs of ``climrisk arrive``."""

    weeks: Annotated[
        int,
        Option(
            "Weeks looked ahead; a plant settles in 6 to 8.",
            label="Weeks to look ahead",
            bounds=WEEKS_AHEAD,
        ),
    ] = 7


def run(given: ArriveInput) -> Shown:
    """Where does a new plant go now, and until when?"""
    from climrisk.commands.arrive.page import arrive_sheet
    from climrisk.commands.arrive.request import arrive
    from climrisk.commands.arrive.text import arrive_answer, arrive_text
    from climrisk.render.display_units import shown
    from climrisk.render.page import render
    from climrisk.render.write import write_file

    result = arrive(given.choice(), given)
    if given.html is not None:
        page = render(arrive_sheet(shown(result)))
        written = write_file(given.html, page, option=field("html"))
        result = result.model_copy(update={"files": [written]})
    return Shown(result, arrive_answer, arrive_text)


COMMAND = Command("arrive", ArriveInput, run)
