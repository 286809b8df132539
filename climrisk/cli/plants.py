"""``climrisk plants``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from climrisk.cli.options import HomeFile, JsonFlag


def plants(
    name: Annotated[
        str | None, typer.Argument(help="One plant in full; all by name without.")
    ] = None,
    home: HomeFile = None,
    csv: Annotated[
        Path | None,
        typer.Option(help="Write the collection of --home as a table, for init."),
    ] = None,
    json: JsonFlag = False,
) -> None:
    """The plant profiles, each value with its source."""
    from climrisk.cli.show import show
    from climrisk.commands.plants.compute import plants as run
    from climrisk.commands.plants.text import plants_answer, plants_text

    result = run(name, home=home)
    if csv is not None:
        from climrisk.commands.plants.compute import collection
        from climrisk.render.write import write_file

        write_file(csv, collection(home), option="--csv")
        typer.echo(f"Written: {csv}", err=True)
    show(result, json, lambda: plants_answer(result), lambda: plants_text(result))
