"""``climrisk demo``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import JsonFlag

if TYPE_CHECKING:
    pass


def demo(
    out: Annotated[
        Path, typer.Option(help="Folder for the report; made if need be.")
    ] = Path("climrisk-demo"),
    as_of: Annotated[
        datetime | None,
        typer.Option(
            "--as-of", formats=["%Y-%m-%d"], help='The day that counts as "today".'
        ),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """The whole job on the built-in home in the invented town of Veladrag."""
    from climrisk.cli.show import show
    from climrisk.commands.demo.compute import whole_job
    from climrisk.commands.demo.files import (
        demo_answer,
        demo_text,
        make_demo_folder,
        write_demo,
    )
    from climrisk.weather.selection import WeatherChoice

    make_demo_folder(out)
    today = WeatherChoice(as_of=None if as_of is None else as_of.date()).today
    job = whole_job(today)
    result = write_demo(out, today, job.calendar, job.assessed, job.winter)
    show(
        result,
        json,
        lambda: demo_answer(result, job.calendar, job.assessed),
        lambda: demo_text(result),
    )
