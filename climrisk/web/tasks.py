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


#: What can be asked for, and where it lives.
CALLS = {
    "arrive": "climrisk.commands.arrive.compute:arrive",
    "assess": "climrisk.commands.assess.ambiguous_names:assess_open",
    "calendar": "climrisk.commands.api:calendar",
    "event": "climrisk.commands.home_api:event",
    "exposure": "climrisk.commands.api:exposure",
    "learn": "climrisk.commands.learn.calibration:lesson",
    "logger": "climrisk.commands.logger.compute:logger",
    "pots": "climrisk.commands.api:pots",
    "remedies": "climrisk.commands.remedies.request:remedies",
    "review": "climrisk.commands.home_api:review",
    "spots": "climrisk.commands.spots.request:ranked",
    "stations": "climrisk.commands.stations.compute:stations",
    "tonight": "climrisk.commands.home_api:tonight",
    "winter": "climrisk.commands.api:winter",
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
    def key(self) -> str:
        """Short name; the same question has the same one, for a day."""
        said = repr((self, self.choice.today))
        return sha256(said.encode()).hexdigest()[:20]


def warm() -> None:
    """Load what every answer needs."""
    from climrisk.commands import api
    from climrisk.commands.shared.judgements import hold_judgements
    from climrisk.weather.selection import hold_weather

    hold_weather(_WEATHERS)
    hold_judgements(_HOMES)
    api.assess(
        "Phalaenopsis hybrids",
        WeatherChoice(demo=True, years=1),
        spot="roofed-balcony",
        members=1,
    )


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
    module, _, name = CALLS[task.call].partition(":")
    call = getattr(importlib.import_module(module), name)
    options = dict(task.options)
    if task.call == "logger":
        return cast("Result", call(task.choice))
    if task.call == "stations":
        from climrisk.commands.shared.plants import place_choice

        return cast("Result", call(place_choice(task.choice, task.home), **options))
    return cast("Result", call(weather=task.choice, home=task.home, **options))
