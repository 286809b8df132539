"""``climrisk carried``."""

from __future__ import annotations

from datetime import datetime
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from climrisk.cli.options import JsonFlag
from climrisk.cli.provenance import show


class Way(StrEnum):
    """Carried in or out."""

    into = "in"
    out = "out"


def carried(
    way: Annotated[Way, typer.Argument(help="in or out.")],
    plants: Annotated[
        list[str] | None, typer.Argument(help="Plants by label or name.")
    ] = None,
    home: Annotated[
        Path, typer.Option("--home", help="The home file. [default: home.toml]")
    ] = Path("home.toml"),
    everything: Annotated[
        bool,
        typer.Option("--all", help="All plants that are still out, or still in."),
    ] = False,
    spot: Annotated[
        str | None, typer.Option(help="Only plants that stand there now.")
    ] = None,
    to: Annotated[
        str | None,
        typer.Option(
            help="Spot or room carried to. [default: in, the room of the plant or its "
            "spot; out, its own spot]"
        ),
    ] = None,
    on: Annotated[
        datetime | None,
        typer.Option(formats=["%Y-%m-%d"], help="Day of the move. [default: today]"),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Note in the home file that plants were carried in or out."""
    from climrisk.commands.carried.compute import carried as run
    from climrisk.commands.carried.text import carried_text

    result = run(
        home,
        way.value,
        plants or (),
        everything=everything,
        spot=spot,
        to=to,
        on=None if on is None else on.date(),
    )
    show(result, carried_text, json=json)
