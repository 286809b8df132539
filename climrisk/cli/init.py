"""``climrisk init``: on a terminal it asks for what is not given."""

from __future__ import annotations

import sys
from dataclasses import replace

import typer

from climrisk.cli.show import style
from climrisk.commands.init.command import InitInput
from climrisk.commands.shared.command import Command, Shown


def run(given: InitInput) -> Shown | None:
    """Write a home file, from questions or a list of plants (CSV)."""
    from climrisk.cli.questions import Answers, ask_all, preview, say
    from climrisk.commands.init.compute import check_free, init, plant_rows
    from climrisk.commands.init.text import init_answer
    from climrisk.core.output_paths import check_outputs

    path = given.path
    if given.plants is not None and not given.preview:
        check_outputs({"home file": path}, [given.plants])
    rows = None if given.plants is None else plant_rows(given.plants)
    if rows is not None and not style().json:
        say(preview(rows))
    if given.preview:
        if rows is None:
            raise typer.BadParameter("--preview needs --plants FILE.csv")
        return None
    choice = given.choice()
    answers = Answers(choice, list(given.spot), list(given.room), list(rows or ()))
    if sys.stdin is not None and sys.stdin.isatty() and not style().json:
        # Nobody answers for a file that cannot be written in the end.
        check_free(path, force=given.force)
        named = choice.demo or choice.file or choice.town or choice.at or choice.station
        answers.plants = []
        try:
            ask_all(answers, rows, weather=not named, plants=not given.plant)
            if not typer.confirm(f"Write {path}?", default=True, err=True):
                raise typer.Abort
        except (typer.Abort, KeyboardInterrupt):
            say(f"\nNothing was written. To go on from here:\n{answers.command(path)}")
            raise
    given = replace(given, spot=tuple(answers.spots), room=tuple(answers.rooms))
    result = init(given, answers.choice, answers.plants)
    return Shown(result, init_answer)


COMMAND = Command("init", InitInput, run, details=False)
