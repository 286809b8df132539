"""How answers are shown: short or in full, in metric or US units, with weight."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from climrisk.cli.provenance import document
from climrisk.core.errors import ClimriskError
from climrisk.core.quantities import System
from climrisk.core.references import CLI
from climrisk.core.typed_text import Viewer, reading

if TYPE_CHECKING:
    from climrisk.commands.shared.command import Shown
    from climrisk.render.answer import TextLine


#: Who reads a terminal, where no command says more.
TERMINAL = Viewer(interface=CLI)


@dataclass(frozen=True)
class Style:
    """How the running command shows its answer, and to whom."""

    details: bool = False
    json: bool = False
    viewer: Viewer = TERMINAL


_STYLE: ContextVar[Style] = ContextVar("style", default=Style())  # noqa: B039 - frozen


@contextmanager
def styled(how: Style) -> Iterator[None]:
    """Show answers in a style, and read results as its viewer does."""
    token = _STYLE.set(how)
    try:
        with reading(how.viewer):
            yield
    except ClimriskError as error:
        error.reader = how.viewer
        raise
    finally:
        _STYLE.reset(token)


def style() -> Style:
    """Return how the running command shows its answer."""
    return _STYLE.get()


def show(shown: Shown) -> None:
    """Print a result: as JSON, in full, or as a short answer."""
    how = _STYLE.get()
    if how.json:
        typer.echo(document(shown.result))
        return
    from climrisk.core.frozen import for_reader
    from climrisk.render.answer import in_full

    reader = how.viewer
    result = for_reader(shown.result, reader)
    if how.details:
        typer.echo("\n".join(in_full(shown.details(result), reader.text)))
    else:
        echo(shown.answer(result).lines(reader.text))


def echo(lines: list[TextLine]) -> None:
    """Print lines, in bold and faint where the terminal has them."""
    if not _has_weights():
        typer.echo("\n".join(line.text for line in lines))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console(highlight=False, soft_wrap=True)
    styles = {"strong": "bold", "plain": "", "faint": "dim"}
    for line in lines:
        console.print(Text(line.text, style=styles[line.weight]))


def _has_weights() -> bool:
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stdout is not None and sys.stdout.isatty() and not plain


def units_of(home: Path | None) -> System | None:
    """Return the units of a home file; a file that cannot be read says so later."""
    if home is None:
        return None
    from climrisk.home.read import read_home

    try:
        return read_home(home).units
    except ClimriskError:
        return None
