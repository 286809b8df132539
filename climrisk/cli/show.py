"""How answers are shown: short or in full, in metric or US units, with weight."""

from __future__ import annotations

import functools
import inspect
import os
import shlex
import sys
from collections.abc import Callable, Mapping
from contextvars import ContextVar
from dataclasses import dataclass, field
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from climrisk.cli.provenance import document
from climrisk.core.errors import ClimriskError
from climrisk.core.quantities import System, chosen

if TYPE_CHECKING:
    from climrisk.render.answer import Answer, Line
    from climrisk.render.document import Result


class Units(StrEnum):
    """Units of what is typed and shown."""

    metric = "metric"
    us = "us"


T = TypeVar("T")


@dataclass(frozen=True)
class Style:
    """How the running command shows its answer, and what was typed to call it."""

    details: bool = False
    units: System = "metric"
    command: str = ""
    typed: Mapping[str, Any] = field(default_factory=dict)


_STYLE: ContextVar[Style] = ContextVar("style", default=Style())  # noqa: B039 - frozen

#: Parameters that are typed without their names.
_ARGUMENTS = ("plant",)

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
        default = {k: p.default for k, p in usual.items()}
        given = {k: v for k, v in options.items() if v not in (None, [], default[k])}
        details, units = options.pop("details"), options.pop("units")
        wishes = (units, _of_home(options.get("home")))
        system = chosen(*wishes)
        if system == "us":
            options = in_words(metric_options(options), "f")
        elif any(wishes):
            options = in_words(options, "c")
        how = Style(details, system, command.__name__, given)
        token = _STYLE.set(how)
        try:
            if system == "us":
                from climrisk.render.display_units import Viewer, reading

                with reading(Viewer("us")):
                    command(**options)
            else:
                command(**options)
        except ClimriskError as error:
            error.units = system
            raise
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
    signature = own.replace(parameters=[*parameters, *more])
    usual = signature.parameters
    wrapper.__signature__ = signature  # type: ignore[attr-defined]
    notes = {p.name: p.annotation for p in parameters}
    wrapper.__annotations__ = {**notes, "details": DETAILS, "units": UNITS}
    del wrapper.__wrapped__
    return wrapper


def style() -> Style:
    """Return how the running command shows its answer."""
    return _STYLE.get()


def command_with(**changed: str | None) -> str:
    """Return the running command as it was typed, but for some of its arguments."""
    from climrisk.cli.provenance import long_name, plain_value

    how = style()
    words = ["climrisk", how.command]
    for name, value in {**how.typed, **changed}.items():
        if value is None:
            continue
        several = value if isinstance(value, list | tuple) else [value]
        if name in _ARGUMENTS:
            words += map(str, several)
        elif value is True:
            words.append(f"--{long_name(name)}")
        else:
            words += [
                w for v in several for w in (f"--{long_name(name)}", plain_value(v))
            ]
    return shlex.join(map(str, words))


def show(
    result: Result,
    json: bool,
    answer: Callable[[Any], Answer],
    details: Callable[[Any], str] = str,
) -> None:
    """Print a result: as JSON, in full, or as a short answer.

    Parameters
    ----------
    result : Result
    json : bool
    answer : callable
        Returns the short answer of a result.
    details : callable
        Returns the whole text, which ``--details`` asks for; left out by commands
        without it.
    """
    if json:
        typer.echo(document(result))
        return
    from climrisk.render.answer import in_full
    from climrisk.render.display_units import READER

    reader = READER.get()
    if style().details:
        typer.echo("\n".join(in_full(details(shown(result)), reader.text)))
    else:
        echo(answer(shown(result)).lines(reader.text))


def shown(result: T) -> T:
    """Return a result with its texts in the units of the running command."""
    from climrisk.render.display_units import shown

    return shown(result)


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


def _of_home(home: Path | None) -> System | None:
    """Return the units of a home file; a file that cannot be read says so later."""
    if not isinstance(home, Path):
        return None
    from climrisk.home.read import read_home

    try:
        return read_home(home).units
    except ClimriskError:
        return None
