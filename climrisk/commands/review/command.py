"""``climrisk review``: its inputs, and what it runs."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown, with_files
from climrisk.core.references import field
from climrisk.inputs.files import HomeInput, PageOutputs
from climrisk.inputs.option import Option
from climrisk.inputs.plant import PlantsInput, StateInput
from climrisk.inputs.risk import MembersInput
from climrisk.inputs.spot import ElevationInput, SpotInput
from climrisk.inputs.weather import WeatherInput


@dataclass(frozen=True, kw_only=True)
class ReviewInput(
    PlantsInput,
    SpotInput,
    StateInput,
    MembersInput,
    ElevationInput,
    HomeInput,
    PageOutputs,
    WeatherInput,
):
    """Inputs of ``climrisk review``."""

    against: Annotated[
        str | None,
        Option(
            f"The station to compare the logger ({field('file')}) with: its ID, a "
            "file, or "
            f"demo; else the home's weather, else the best station near {field('at')}.",
            page=False,
        ),
    ] = None
    winter: Annotated[
        str | None,
        Option(
            "Winter to look back on, such as 2024/25.",
            label="Winter",
            default="the logger's, else the last",
        ),
    ] = None
    below: Annotated[
        tuple[float, ...],
        Option("Thresholds in °C.", unit="°C", default="13, 10, 5 and 0"),
    ] = ()


def run(given: ReviewInput) -> Shown:
    """How was this winter, and was it predicted?"""
    from climrisk.commands.review.page import exports
    from climrisk.commands.review.request import review
    from climrisk.commands.review.text import review_answer, review_text

    result = review(given.choice(), given)
    return Shown(with_files(result, exports, given), review_answer, review_text)


COMMAND = Command("review", ReviewInput, run)
