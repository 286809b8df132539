"""The plant, its state, and limits of the user's own."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.inputs.option import Inputs, Option

STATES = ("established", "in-spike", "unrooted", "new-import")


@dataclass(frozen=True, kw_only=True)
class PlantInput(Inputs):
    """One plant."""

    plant: Annotated[
        str, Option("Name, synonym or trade name.", argument=True, listed="plants")
    ]


@dataclass(frozen=True, kw_only=True)
class AnyPlantInput(Inputs):
    """One plant, or none."""

    plant: Annotated[
        str | None,
        Option(
            "Plant whose limits are counted; may be left out.",
            argument=True,
            label="For which plant",
            listed="plants",
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class PlantsInput(Inputs):
    """Plants named one by one, or those of the home."""

    plants: Annotated[
        tuple[str, ...],
        Option(
            "Plants; without any, those of the home.",
            argument=True,
            label="Plant",
            listed="plants",
        ),
    ] = ()


@dataclass(frozen=True, kw_only=True)
class StateInput(Inputs):
    """State of the plant."""

    state: Annotated[
        str | None,
        Option(
            f"Plant state: {' '.join(STATES)}.",
            default="established",
            home="state",
            choices=STATES,
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class LimitInput(Inputs):
    """Limits of the user's own, with their source."""

    preferred: Annotated[
        float | None,
        Option("Night minimum it prefers, in °C, from a source of yours.", unit="°C"),
    ] = None
    tolerated: Annotated[
        float | None, Option("Coldest night it tolerates, in °C.", unit="°C")
    ] = None
    hot_limit: Annotated[
        float | None, Option("Advised day maximum, in °C.", unit="°C")
    ] = None
    limit_source: Annotated[
        str | None, Option("Where you read your own limits, or memory.")
    ] = None
