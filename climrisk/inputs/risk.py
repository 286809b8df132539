"""How much risk is accepted, and how strictly limits are read."""

from dataclasses import dataclass
from typing import Annotated

from climrisk.core.defaults import DEFAULT_MEMBERS, DEFAULT_RISK, MEMBERS, RISK
from climrisk.core.references import field
from climrisk.inputs.option import Inputs, Option


@dataclass(frozen=True, kw_only=True)
class RiskInput(Inputs):
    """Accepted risk in autumn."""

    risk: Annotated[
        float | None,
        Option(
            "Accepted share of years with a harmful night before moving in.",
            label="Accepted risk",
            default=f"{DEFAULT_RISK:g}",
            home="risk",
            bounds=RISK,
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class SpringRiskInput(Inputs):
    """Accepted risk in spring."""

    spring_risk: Annotated[
        float | None,
        Option(
            "The same after moving out; a plant put out too early is carried back in.",
            default=f"twice {field('risk')}, up to 0.25",
            bounds=RISK,
        ),
    ] = None


@dataclass(frozen=True, kw_only=True)
class StrictInput(Inputs):
    """Whether cold nights count as harmful."""

    strict: Annotated[
        bool,
        Option(
            "Treat every night below what it prefers as harmful.",
            label="Count every night colder than it prefers as harmful",
        ),
    ] = False


@dataclass(frozen=True, kw_only=True)
class MembersInput(Inputs):
    """How many draws of the uncertain spot are computed."""

    members: Annotated[
        int, Option("Ensemble members; 1 = the median only.", bounds=MEMBERS)
    ] = DEFAULT_MEMBERS
