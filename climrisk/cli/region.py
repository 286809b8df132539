"""Progress of ``climrisk region`` on a terminal."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import Any

import typer

from climrisk.commands.region.command import REPORT
from climrisk.commands.shared.command import Command, Shown


def with_progress(command: Command) -> Command:
    """Return the command with its progress shown."""

    def run(given: Any) -> Shown | None:
        with _progress() as report:
            token = REPORT.set(report)
            try:
                return command.run(given)
            finally:
                REPORT.reset(token)

    run.__doc__ = command.help
    return replace(command, run=run)


@contextmanager
def _progress() -> Iterator[tuple[Callable[[int, int], None], Callable[[str], None]]]:
    """Show blocks as a bar on a terminal, else as a line each tenth."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield _lines(), lambda text: typer.echo(text, err=True)
        return
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (
        TextColumn("blocks"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("blocks", total=None)

        def moved(done: int, total: int) -> None:
            bar.update(task, completed=done, total=total)

        yield moved, lambda text: bar.console.print(text, markup=False)


def _lines() -> Callable[[int, int], None]:
    shown = -1

    def moved(done: int, total: int) -> None:
        nonlocal shown
        tenth = 10 * done // max(total, 1)
        if tenth > shown:
            shown = tenth
            typer.echo(f"{done} of {total} blocks", err=True)

    return moved
