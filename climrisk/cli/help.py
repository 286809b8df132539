"""``climrisk help``."""

from __future__ import annotations

from typing import Annotated

import typer


def help_(
    name: Annotated[
        str | None, typer.Argument(metavar="TOPIC", help="A topic; all without.")
    ] = None,
) -> None:
    """Explain a topic, such as spots, pots, numbers or units."""
    from climrisk.commands.help.topics import NAMES, topic
    from climrisk.render.answer import Rows

    if name is not None:
        typer.echo(topic(name).text())
        return
    rows = Rows([(n, topic(n).title) for n in NAMES])
    typer.echo("Topics, each by climrisk help TOPIC:")
    typer.echo("\n".join(line.text for line in rows.lines(str)))
    typer.echo("The options of a command: climrisk COMMAND --help")
