"""The program: read arguments, call, print. No arithmetic lives here."""

from __future__ import annotations

import gc
import os
import sys
import textwrap
from collections.abc import Sequence
from contextlib import suppress
from functools import cache
from importlib import import_module
from inspect import getdoc
from pathlib import Path
from typing import Annotated

import typer

from climrisk.cli import streams
from climrisk.cli.build import add_command, add_name
from climrisk.cli.help import help_
from climrisk.cli.init import COMMAND as INIT
from climrisk.cli.provenance import repeat as repeat_document
from climrisk.cli.region import with_progress
from climrisk.cli.schema import schema
from climrisk.cli.serve import serve
from climrisk.cli.show import TERMINAL
from climrisk.commands import COMMANDS
from climrisk.core.errors import ClimriskError, InputError, one_line
from climrisk.core.memory import keep_freed_memory
from climrisk.core.notes import show_notes
from climrisk.core.typed_text import reading

try:
    from typer.exceptions import TyperException as UsageError
except ImportError:  # typer before it had errors of its own
    from click import ClickException as UsageError  # type: ignore[assignment]

#: Commands that run long, or decide themselves what memory they keep.
_OWN_MEMORY = ("serve", "region")
#: Widest line of an error on a terminal.
_WIDTH = 80


def _root(
    context: typer.Context,
    repeat: Annotated[
        Path | None,
        typer.Option(
            metavar="DOCUMENT.json",
            help="Ask again what a document of --json was asked; prints the new one.",
        ),
    ] = None,
) -> None:
    if repeat is None:
        if context.invoked_subcommand is None:
            typer.echo(context.get_help())
        elif context.invoked_subcommand not in _OWN_MEMORY:
            keep_freed_memory(2)
        return
    if context.invoked_subcommand is not None:
        raise InputError(
            "--repeat takes no command: the document says which",
            where="--repeat",
            value=context.invoked_subcommand,
        )
    repeat_document(application(), repeat)


@cache
def application(called: str | None = None) -> typer.Typer:
    """Return the program; with the options of one command, or else of all.

    To work out the options of all commands takes longer than to show the help.
    """
    app = typer.Typer(
        name="climrisk",
        help="What would this place do to this plant, in this pot, in this spot, over "
        "the year, and what should you do about it?",
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    app.callback(invoke_without_command=True)(_root)
    commands = [
        import_module(f"climrisk.commands.{n}.command").COMMAND for n in COMMANDS
    ]
    for command in (*commands, INIT):
        if called not in (None, command.name):
            add_name(app, command.name, command.help)
        else:
            add_command(
                app, with_progress(command) if command.name == "region" else command
            )
    for name, function in (("serve", serve), ("schema", schema), ("help", help_)):
        if called not in (None, name):
            add_name(app, name, getdoc(function) or "")
        else:
            app.command(name)(function)
    return app


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the program and leave with its exit status.

    0 done (also "cannot say") · 2 arguments or input wrong · 3 the weather cannot be
    downloaded · 1 a fault of ours.
    """
    words = sys.argv[1:] if arguments is None else arguments
    if sys.stderr is not None and sys.stderr.isatty():
        show_notes(lambda text: typer.echo(text, err=True))
    streams.prepare(json="--json" in words or words[:1] in (["schema"], ["--repeat"]))
    status = main(arguments)
    streams.discard_output()
    # Else Python looks through all that is left before it ends, for 70 ms.
    gc.freeze()
    sys.exit(status)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program and return its exit status."""
    with reading(TERMINAL):
        return _main(arguments)


def _main(arguments: Sequence[str] | None) -> int:
    try:
        return _called(None if arguments is None else list(arguments))
    except ClimriskError as error:
        return _fail(error.line(), error.exit_status)
    except UsageError as error:
        return _fail(f"{error.format_message()} See climrisk --help.", error.exit_code)
    except typer.Exit as leave:
        return leave.exit_code
    except (typer.Abort, KeyboardInterrupt):
        return _fail("stopped", 1)
    except BrokenPipeError:
        return 0
    except Exception as fault:
        if isinstance(fault, OSError) and streams.is_full(fault):
            text = f"cannot write the output (standard output): {fault.strerror}"
            return _fail(f"{text}. Make room on the disk", 2)
        if os.environ.get("CLIMRISK_DEBUG"):
            raise
        return _fail(
            "a fault of climrisk, not of your input. Run again with "
            "CLIMRISK_DEBUG=1 and report what it prints: "
            f"{type(fault).__name__}: {fault}",
            1,
        )


def _called(arguments: list[str] | None) -> int:
    try:
        words = sys.argv[1:] if arguments is None else arguments
        # Nothing that `--repeat` takes is a command's name.
        called = next((word for word in words if not word.startswith("-")), "")
        status = application(called)(arguments, standalone_mode=False)
        if sys.stdout is not None:
            sys.stdout.flush()
    except SystemExit as leave:
        # typer leaves by itself where nobody reads its output any more.
        if streams.is_closed_pipe(leave.__context__):
            return 0
        raise
    _note_unreadable_profiles()
    return status if isinstance(status, int) else 0


def _note_unreadable_profiles() -> None:
    """Say which of the user's own profiles were passed over."""
    # Loaded by commands that know plants; the others need no note.
    registry = sys.modules.get("climrisk.plants.registry")
    if registry is not None:
        for error in registry.unreadable_profiles().values():
            typer.echo(
                f"note: a profile of yours is not used: {error.line()}", err=True
            )


def _fail(text: str, status: int) -> int:
    line = "error: " + one_line(text)
    with suppress(OSError, ValueError):
        # Programs that read the error get it in one line.
        if sys.stderr is not None and sys.stderr.isatty():
            line = textwrap.fill(
                line, _WIDTH, break_long_words=False, break_on_hyphens=False
            )
        typer.echo(line, err=True)
    return status


if __name__ == "__main__":
    run()
