"""How answers are shown: short or in full, in metric or US units, with weight."""

from __future__ import annotations

import functools
import inspect
import os
import sys
from collections.abc import Callable
from contextvars import ContextVar
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from climrisk.cli.provenance import document

if TYPE_CHECKING:
    from climrisk.render.answer import Answer, Line
    from climrisk.render.document import Result


class Units(StrEnum):
    """Units of what is typed and shown."""

    metric = "metric"
    us = "us"


@dataclass(frozen=True)
class Style:
    """How the running command shows its answer."""

    details: bool = False
    units: Units = Units.metric


_STYLE: ContextVar[Style] = ContextVar("style", default=Style())  # noqa: B039 - frozen

DETAILS = Annotated[
    bool, typer.Option("--details", help="Print everything, not only the answer.")
]
UNITS = Annotated[
    Units | None,
    typer.Option(
        help="Units of the answer and of numbers typed without one: metric (°C, km/h, "
        "cm, kg) or us (°F, mph, in, lb). [default: the home file's, else metric]"
    ),
]


def with_style(command: Callable[..., None]) -> Callable[..., None]:
    """Give a command --details and --units, and read its bare numbers by them."""
    from climrisk.cli.typed import in_words, metric_options

    @functools.wraps(command)
    def wrapper(**options: Any) -> None:
        details, units = options.pop("details"), options.pop("units")
        units = units or _of_home(options.get("home"))
        if units == Units.us:
            options = in_words(metric_options(options), "f")
        elif units == Units.metric:
            options = in_words(options, "c")
        token = _STYLE.set(Style(details, units or Units.metric))
        try:
            command(**options)
        finally:
            _STYLE.reset(token)

    own = inspect.signature(command)
    more = [
        inspect.Parameter(name, inspect.Parameter.KEYWORD_ONLY, default=d, annotation=a)
        for name, d, a in (("details", False, DETAILS), ("units", None, UNITS))
    ]
    # Annotations are texts until they are evaluated where the command is declared.
    known = inspect.unwrap(command).__globals__
    parameters = [
        p.replace(
            kind=p.KEYWORD_ONLY,
            annotation=eval(p.annotation, known)
            if isinstance(p.annotation, str)
            else p.annotation,
        )
        for p in own.parameters.values()
    ]
    wrapper.__signature__ = own.replace(  # type: ignore[attr-defined]
        parameters=[*parameters, *more]
    )
    notes = {p.name: p.annotation for p in parameters}
    wrapper.__annotations__ = {**notes, "details": DETAILS, "units": UNITS}
    del wrapper.__wrapped__
    return wrapper


def style() -> Style:
    """Return how the running command shows its answer."""
    return _STYLE.get()


def show(
    result: Result,
    json: bool,
    answer: Callable[[], Answer],
    details: Callable[[], str],
) -> None:
    """Print a result: as JSON, in full, or as a short answer.

    Parameters
    ----------
    result : Result
    json : bool
    answer : callable
        Returns the short answer.
    details : callable
        Returns the whole text, which ``--details`` asks for.
    """
    if json:
        typer.echo(document(result))
        return
    from climrisk.render.answer import in_full
    from climrisk.render.display_units import READER, Viewer

    us = style().units == Units.us
    reader = Viewer("f", measures="us") if us else Viewer()
    token = READER.set(reader)
    try:
        if style().details:
            typer.echo("\n".join(in_full(details(), reader.text)))
        else:
            echo(answer().lines(reader.text))
    finally:
        READER.reset(token)


def echo(lines: list[Line]) -> None:
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
    return sys.stdout.isatty() and not plain


def _of_home(home: Path | None) -> Units | None:
    """Return the units of a home file; a file that cannot be read says so later."""
    if not isinstance(home, Path):
        return None
    from climrisk.core.errors import ClimriskError
    from climrisk.home.read import read_home

    try:
        units = read_home(home).units
    except ClimriskError:
        return None
    return None if units is None else Units(units)
