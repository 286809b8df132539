"""The work behind an answer, done in a process of its own."""

from __future__ import annotations

import importlib
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import TYPE_CHECKING, Any, cast

from climrisk.weather.selection import WeatherChoice

if TYPE_CHECKING:
    from climrisk.render.document import Result

#: Weathers that a process keeps in memory: 30 years of hours take about 20 MB.
_WEATHERS = 3
#: Homes whose judgements a process keeps, so that one more plant is one more judgement.
_HOMES = 2


#: What can be asked for: the function of `climrisk.commands.NAME.request`, else of the
#: module named, that answers the command's inputs.
CALLS = {
    "arrive": "arrive",
    "assess": "assess_or_ask",
    "calendar": "calendar",
    "event": "event",
    "exposure": "exposure",
    "learn": "learn",
    "pots": "pots",
    "remedies": "remedies",
    "review": "review",
    "spots": "ranked",
    "tonight": "tonight",
    "winter": "winter",
}


@dataclass(frozen=True)
class Task:
    """What is to be computed.

    Parameters
    ----------
    call : str
        A name of `CALLS`.
    choice : WeatherChoice
    home : Path or None
        The home file.
    options : tuple of (str, object)
        The call's other arguments.
    stamp : tuple of int
        State of the files that are read: when they change, the answer does.
    """

    call: str
    choice: WeatherChoice
    home: Path | None = None
    options: tuple[tuple[str, Any], ...] = ()
    stamp: tuple[int, ...] = ()

    @property
    def subject(self) -> tuple[Path | None, WeatherChoice]:
        """The home and the weather, which the process that has them need not read."""
        return self.home, self.choice

    @property
    def key(self) -> str:
        """Short name; the same question has the same one, for a day."""
        said = repr((self, self.choice.today))
        return sha256(said.encode()).hexdigest()[:20]


def warm() -> None:
    """Load what every answer needs."""
    from climrisk.commands.assess.command import AssessInput
    from climrisk.commands.assess.request import assess
    from climrisk.commands.shared.judgements import hold_judgements
    from climrisk.weather.selection import hold_weather

    hold_weather(_WEATHERS)
    hold_judgements(_HOMES)
    given = AssessInput(plant="Phalaenopsis hybrids", spot="roofed-balcony", members=1)
    assess(WeatherChoice(demo=True, years=1), given)


def run(task: Task) -> Result:
    """Return the result of a task, with what was looked up for it."""
    from climrisk.commands.shared.provenance import day_counted, provenance
    from climrisk.core.lookups import noting

    with noting() as notes:
        result = _result(task)
    today = day_counted(notes, task.choice.today)
    made = provenance(task.call, notes, today=today)
    return result.model_copy(update={"provenance": made})


def _result(task: Task) -> Result:
    options = dict(task.options)
    if task.call == "logger":
        from climrisk.commands.logger.compute import logger

        return logger(task.choice)
    if task.call == "stations":
        from climrisk.commands.shared.plants import place_choice
        from climrisk.commands.stations.compute import stations

        return stations(place_choice(task.choice, task.home), **options)
    package = f"climrisk.commands.{task.call}"
    inputs: Any = importlib.import_module(f"{package}.command").COMMAND.inputs
    call = getattr(importlib.import_module(f"{package}.request"), CALLS[task.call])
    return cast("Result", call(task.choice, inputs(**options, home=task.home)))
