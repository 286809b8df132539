"""Answers side by side, where a name covers several plants or none."""

from __future__ import annotations

from typing import Literal

from climrisk.commands.assess.result import AssessResult
from climrisk.render.document import Caution, Frozen, Result, WeatherInfo


class Choice(Frozen):
    """One plant that may be meant, how its keeper would know it, and its answer."""

    kind: str
    line: str
    name: str
    result: AssessResult


class AssessSeveral(Result):
    """One question and all answers side by side; no number stands for all of them.

    `read_as` is what the name was read as, where that is another than the one typed.

    `scenarios` are a warm, an intermediate and a cool grower by the classes of one
    society: they stand for no plant. `form` is a profile to fill in.
    """

    asked: str
    read_as: str | None
    why: Literal["covers several plants", "no profile"]
    question: str
    nearest: list[str]
    scenarios: bool
    weather: WeatherInfo
    choices: list[Choice]
    sentence: str
    next_steps: list[str]
    form: str | None
    cautions: list[Caution]
    files: list[str]
