"""``climrisk serve``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def serve(
    home: Annotated[
        Path | None,
        typer.Option("--home", help="A home file. [default: home.toml here]"),
    ] = None,
    demo: Annotated[
        bool, typer.Option("--demo", help="Walk through the built-in home.")
    ] = False,
    port: Annotated[
        int | None,
        typer.Option(min=0, max=65535, help="Port. [default: 8713 where free]"),
    ] = None,
    listen: Annotated[
        str,
        typer.Option(
            help="Address to listen on; beyond this machine the page asks for a token."
        ),
    ] = "127.0.0.1",
    no_open: Annotated[
        bool, typer.Option("--no-open", help="Do not open a browser.")
    ] = False,
) -> None:
    """Open the page: all of this in a browser.

    It also serves the moves of the home as a calendar to subscribe to: each with a
    reminder the day before, and tonight's warning when something must be carried. The
    address is printed; beyond this machine it holds the token.
    """
    from climrisk.web.serve import place
    from climrisk.web.serve import serve as run

    where = place(home=home, demo=demo, port=port, listen=listen)

    def ready() -> None:
        typer.echo(f"The page: {where.url}")
        typer.echo(f"Calendar subscription: {where.subscription}")
        typer.echo("Stop it with Ctrl+C.")

    run(where, open_browser=not no_open, ready=ready)
