"""``climrisk plants``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from climrisk.cli.options import HomeFile, JsonFlag
from climrisk.cli.provenance import show


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
    from climrisk.report.plants_text import plants_text
    from climrisk.simulate.plants import plants as run

    result = run(name, home=home)
    if csv is not None:
        from climrisk.report.write import write_file
        from climrisk.simulate.plants import collection

        write_file(csv, collection(home), option="--csv")
        typer.echo(f"Written: {csv}", err=True)
    show(result, plants_text, json=json)
