"""The result of ``climrisk init``: a home file that was written."""

from __future__ import annotations

from climrisk.commands.shared.result import CommandResult
from climrisk.render.document import Frozen


class Placed(Frozen):
    """A spot or room with its kind."""

    name: str
    at: str
    indoors: bool


class PlacedPlant(Frozen):
    """A plant with its spot, the name that was typed and what it was read as.

    `read_as` is null where what was typed is a name of the plant.
    """

    name: str
    at: str
    typed: str
    read_as: str | None
    label: str | None
    count: int


class InitResult(CommandResult):
    """What the new home file says; `assumed` is what nobody told."""

    file: str
    name: str
    weather: dict[str, str | int | bool]
    spots: list[Placed]
    rooms: list[Placed]
    plants: list[PlacedPlant]
    assumed: list[str]
    undo: str | None
    next_steps: list[str]
    sentence: str
