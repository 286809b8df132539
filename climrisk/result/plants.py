"""The result of ``climrisk plants``."""

from __future__ import annotations

from typing import Any

from climrisk.result.common import Frozen, Result


class PlantLine(Frozen):
    """A profile in one line."""

    name: str
    label: str
    names: list[str]
    own: bool


class SourceInfo(Frozen):
    """A source of a profile."""

    key: str
    publisher: str
    title: str
    year: str | None
    address: str | None


class PlantsResult(Result):
    """The list of profiles, or one in full."""

    plants: list[PlantLine]
    profile: dict[str, Any] | None
    sources: list[SourceInfo]
