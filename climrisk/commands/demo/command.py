"""``climrisk demo``: its inputs, and what it runs."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Annotated

from climrisk.commands.shared.command import Command, Shown
from climrisk.inputs.option import Inputs, Option


@dataclass(frozen=True, kw_only=True)
class DemoInput(Inputs):
    """Inputs of ``climrisk demo``."""

    out: Annotated[
        Path, Option("Folder for the report; made if need be.", writes=True)
    ] = Path("climrisk-demo")
    as_of: Annotated[date | None, Option('The day that counts as "today".')] = None


def run(given: DemoInput) -> Shown:
    """Try the whole job on an invented home."""
    from climrisk.commands.demo.compute import whole_job
    from climrisk.commands.demo.files import (
        demo_answer,
        demo_text,
        make_demo_folder,
        write_demo,
    )
    from climrisk.render.display_units import shown
    from climrisk.weather.selection import WeatherChoice

    make_demo_folder(given.out)
    today = WeatherChoice(as_of=given.as_of).today
    job = whole_job(today)
    result = write_demo(given.out, today, job.calendar, job.assessed, job.winter)
    return Shown(
        result,
        lambda result: demo_answer(
            result, shown(job.calendar), list(map(shown, job.assessed))
        ),
        demo_text,
    )


COMMAND = Command("demo", DemoInput, run)
