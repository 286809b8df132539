"""The result of ``climrisk init``: a home file that was written."""

from __future__ import annotations

from climrisk.result.common import Frozen, Result


class Placed(Frozen):
    """A spot or room with its kind, or a plant with its spot."""

    name: str
    at: str


class InitResult(Result):
    """What the new home file says; `assumed` is what nobody told."""

    file: str
    name: str
    weather: dict[str, str | int | bool]
    spots: list[Placed]
    rooms: list[Placed]
    plants: list[Placed]
    assumed: list[str]
    undo: str | None
    next_steps: list[str]
    sentence: str
