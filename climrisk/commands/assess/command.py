"""``climrisk assess``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, NightsOutput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.plant import LimitInput, PlantInput, StateInput
from climrisk.inputs.pot import (
    ColorInput,
    LayersInput,
    PotInput,
    SetupInput,
    SizeInput,
    StandInput,
    WateringInput,
    WetnessInput,
)
from climrisk.inputs.risk import MembersInput, RiskInput, SpringRiskInput, StrictInput
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput

if TYPE_CHECKING:
    from climrisk.commands.assess.result import AssessSeveral


@dataclass(frozen=True, kw_only=True)
class AssessInput(
    PlantInput,
    SpotInput,
    PotInput,
    WetnessInput,
    LayersInput,
    StandInput,
    WateringInput,
    ColorInput,
    SizeInput,
    StateInput,
    RiskInput,
    SpringRiskInput,
    StrictInput,
    MembersInput,
    SetupInput,
    ElevationInput,
    LimitInput,
    HomeInput,
    PageOutputs,
    NightsOutput,
    WeatherInput,
):
    """Inputs of ``climrisk assess``."""

    means: Annotated[
        str | None,
        Option(
            "What a name that covers several plants means; remembered in "
            f"{field('home')}.",
            page=False,
        ),
    ] = None


def run(given: AssessInput) -> Shown:
    """Does this plant suit this place?"""
    from climrisk.commands.assess.ambiguous_names import remember
    from climrisk.commands.assess.page import exports
    from climrisk.commands.assess.request import assess_or_ask
    from climrisk.commands.assess.result import AssessResult
    from climrisk.commands.assess.text import assess_answer, assess_text
    from climrisk.render.display_units import shown

    if given.means is not None:
        remember(given.home, given.plant, given.means)
    choice = given.choice()
    result = assess_or_ask(choice, given)
    if not isinstance(result, AssessResult):
        return _several(result, given)
    one = result
    files = exports(shown(one), choice.today).write(**given.outputs)
    if given.nights is not None:
        from climrisk.commands.assess.request import assess_nights
        from climrisk.render.write import csv_text, write_file

        table = assess_nights(choice, given)
        data = csv_text(table.header, table.rows, table.weather)
        files.append(write_file(given.nights, data, option=field("nights")))
    return Shown(
        one,
        lambda result: assess_answer(result, files),
        lambda result: assess_text(result) + "".join(f"\nWritten: {f}" for f in files),
    )


def _several(result: "AssessSeveral", given: AssessInput) -> Shown:
    """Show the answers of a name that covers several plants."""
    from climrisk.commands.assess.page import several_exports
    from climrisk.commands.assess.several_text import several_answer, several_text
    from climrisk.commands.shared.command import command_with
    from climrisk.render.display_units import shown

    files = several_exports(shown(result)).write(**given.outputs)
    several = result.model_copy(update={"files": files})
    return Shown(
        several,
        lambda result: several_answer(result, command_with),
        lambda result: several_text(result, command_with),
    )


COMMAND = Command("assess", AssessInput, run)
