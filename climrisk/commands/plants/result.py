"""The result of ``climrisk plants``."""

from __future__ import annotations

from typing import Any

from climrisk.commands.shared.result import CommandResult
from climrisk.render.document import Frozen
from climrisk.render.provenance import SourceInfo


class PlantLine(Frozen):
    """A profile in one line."""

    name: str
    label: str
    names: list[str]
    own: bool


class PlantsResult(CommandResult):
    """The list of profiles, or one in full."""

    plants: list[PlantLine]
    profile: dict[str, Any] | None
    sources: list[SourceInfo]
