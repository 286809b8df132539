"""``climrisk demo``."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from climrisk.cli.options import JsonFlag
from climrisk.cli.provenance import show

if TYPE_CHECKING:
    from climrisk.result.demo import DemoResult


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
    from climrisk.report.demo import make_demo_folder, write_demo
    from climrisk.simulate.demo import whole_job
    from climrisk.weather.choose import WeatherChoice

    make_demo_folder(out)
    today = WeatherChoice(as_of=None if as_of is None else as_of.date()).today
    job = whole_job(today)
    result = write_demo(out, today, job.calendar, job.assessed, job.winter)
    show(result, _text, json=json)


def _text(result: DemoResult) -> str:
    return "\n".join(
        [
            *(f"{sentence}\n" for sentence in result.sentences),
            "Everything above is about invented weather in an invented town.",
            *(f"Written: {path}" for path in result.files[1:]),
            f"Report: {result.report}",
        ]
    )
