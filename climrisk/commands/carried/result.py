"""The result of ``climrisk carried``: plants noted as carried in or out."""

from __future__ import annotations

from climrisk.commands.shared.carrying import CarriedPlant
from climrisk.commands.shared.result import CommandResult
from climrisk.render.document import Frozen


class StillOutside(Frozen):
    """A plant that stands outdoors by the notes of the home file."""

    label: str
    count: int
    spot: str


class CarriedResult(CommandResult):
    """What was noted; `already` were there before, so that nothing was noted."""

    home: str
    file: str
    on: str
    carried: list[CarriedPlant]
    already: list[str]
    outside: list[StillOutside]
    sentence: str
