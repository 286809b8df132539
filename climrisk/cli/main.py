"""The program: read arguments, call, print. No arithmetic lives here."""

from __future__ import annotations

import contextlib
import errno
import os
import sys
from collections.abc import Sequence

import typer
from typer.exceptions import Abort, Exit, TyperException

from climrisk.cli.arrive import arrive
from climrisk.cli.assess import assess
from climrisk.cli.calendar import calendar
from climrisk.cli.demo import demo
from climrisk.cli.event import event
from climrisk.cli.exposure import exposure
from climrisk.cli.init import init
from climrisk.cli.learn import learn
from climrisk.cli.logger import logger
from climrisk.cli.options import with_checked_outputs
from climrisk.cli.plants import plants
from climrisk.cli.pots import pots
from climrisk.cli.region import region
from climrisk.cli.remedies import remedies
from climrisk.cli.review import review
from climrisk.cli.schema import schema
from climrisk.cli.serve import serve
from climrisk.cli.spots import spots
from climrisk.cli.stations import stations
from climrisk.cli.tonight import tonight
from climrisk.cli.winter import winter
from climrisk.errors import ClimriskError

#: Of a disk that takes no more.
_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)

app = typer.Typer(
    name="climrisk",
    help="What would this place do to this plant, in this pot, in this spot, over the "
    "year, and what should its keeper do about it?",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


@app.callback()
def _root() -> None:
    """Keep subcommands even where there is only one."""


for _command in (
    assess,
    arrive,
    winter,
    calendar,
    tonight,
    event,
    review,
    exposure,
    pots,
    spots,
    remedies,
    region,
    learn,
    logger,
    plants,
    stations,
    serve,
    init,
    demo,
    schema,
):
    app.command()(with_checked_outputs(_command))


def run(arguments: Sequence[str] | None = None) -> None:
    """Run the program and leave with its exit status.

    0 done (also "cannot say") · 2 arguments or input wrong · 3 weather could not be
    had · 1 a fault of ours.
    """
    status = main(arguments)
    try:
        sys.stdout.flush()
    except OSError as error:
        status = _no_room(error)
    sys.exit(status)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the program and return its exit status."""
    given = list(arguments) if arguments is not None else None
    try:
        status = app(given, standalone_mode=False)
    except ClimriskError as error:
        return _fail(error.line(), error.exit_status)
    except TyperException as error:
        text = error.format_message() or "no command given"
        return _fail(f"{text} Next: climrisk --help", error.exit_code)
    except Exit as leave:
        return leave.exit_code
    except (Abort, KeyboardInterrupt):
        return _fail("stopped", 1)
    except BrokenPipeError:
        sys.stderr.close()
        return 0
    except Exception as fault:
        if isinstance(fault, OSError) and fault.errno in _FULL:
            return _no_room(fault)
        if os.environ.get("CLIMRISK_DEBUG"):
            raise
        return _fail(
            f"a fault of climrisk, not of your input: {type(fault).__name__}: {fault}. "
            "Next: run again with CLIMRISK_DEBUG=1 and report what it prints",
            1,
        )
    _note_unreadable_profiles()
    return status if isinstance(status, int) else 0


def _no_room(error: OSError) -> int:
    """Say that a disk is full, and drop what could not be printed."""
    with contextlib.suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, sys.stdout.fileno())
        sys.stdout.flush()
    return _fail(f"the output cannot be written: {error.strerror}", 2)


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
    typer.echo("error: " + " ".join(text.split()), err=True)
    return status


if __name__ == "__main__":
    run()
