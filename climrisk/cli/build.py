"""The command line, generated from what each command declares."""

from __future__ import annotations

import inspect
from collections.abc import Mapping
from dataclasses import MISSING, replace
from datetime import date, datetime
from pathlib import Path
from typing import Annotated, Any, Literal

import typer

from climrisk.cli.provenance import answering
from climrisk.cli.show import TERMINAL, Style, show, styled, units_of
from climrisk.commands.shared.command import Command, typed
from climrisk.core import quantities as q
from climrisk.core.references import Interface, field
from climrisk.core.typed_text import Viewer
from climrisk.inputs.option import Declared, Inputs, Option

_DAY = "%Y-%m-%d"
_JSON = Declared(
    "json", bool, False, Option("One JSON document on stdout, nothing else.")
)
_STYLE = (
    Declared("details", bool, False, Option("Print everything, not only the answer.")),
    Declared(
        "units",
        Literal["metric", "us"] | None,
        None,
        Option(
            "Units of the answer and of numbers typed without one: metric (°C, km/h, "
            "cm, kg) or us (°F, mph, in, lb).",
            default="the home file's, else metric",
        ),
    ),
)


def add_name(app: typer.Typer, name: str, text: str) -> None:
    """Give an application a command of which only the name and the help are shown."""

    def call() -> None:
        raise AssertionError(name)

    app.command(name, help=text)(call)


def add_command(app: typer.Typer, command: Command) -> None:
    """Give an application a command with all its options."""
    declared = [*command.inputs.declared()]
    shown = (*_STYLE, _JSON) if command.details else (_JSON,)

    def call(**options: Any) -> None:
        _run(command, declared, options)

    parameters = [_parameter(d) for d in (*declared, *shown)]
    call.__name__ = command.name
    call.__doc__ = command.help
    call.__signature__ = inspect.Signature(parameters)  # type: ignore[attr-defined]
    call.__annotations__ = {p.name: p.annotation for p in parameters}
    app.command(command.name)(call)


def _parameter(declared: Declared) -> inspect.Parameter:
    """Return an input as typer takes it."""
    option, kind, default = declared.option, declared.type, declared.default
    more: dict[str, Any] = {"help": TERMINAL.text(option.text)}
    if kind == date | None:
        kind, more = datetime | None, {**more, "formats": [_DAY]}
    elif declared.several:
        kind = list[declared.item]  # type: ignore[name-defined]
        if default is not MISSING:
            kind, default = kind | None, None
    if option.argument:
        info = typer.Argument(metavar=option.metavar, **more)
    else:
        info = typer.Option(f"--{declared.long_name}", **more)
    return inspect.Parameter(
        declared.name,
        inspect.Parameter.KEYWORD_ONLY,
        default=inspect.Parameter.empty if default is MISSING else default,
        annotation=Annotated[kind, info],
    )


def _run(command: Command, declared: list[Declared], options: dict[str, Any]) -> None:
    """Run a command with the options that were typed, and show its answer."""
    json = options.pop("json")
    details, units = options.pop("details", False), options.pop("units", None)
    given = command.inputs(**{d.name: _plain(d, options[d.name]) for d in declared})
    _check_outputs(given)
    said = {d.long_name: v for d, v in given.said() if not d.option.argument}
    if units is not None:
        said["units"] = units
    wishes = (units, units_of(vars(given).get("home")))
    system = q.chosen(*wishes)
    if command.details and any(wishes):
        given = in_units(given, system)
    with (
        styled(Style(details, json, _viewer(declared, system))),
        typed(command.name, str(vars(given).get("plant")), said),
        answering(command, given),
    ):
        shown = command.run(given)
        if shown is not None:
            show(shown)


def _viewer(declared: list[Declared], units: q.System) -> Viewer:
    """Return who reads the answer of a command, whose options may have other names."""
    names = {d.name: d.option.name for d in declared if d.option.name}
    return Viewer(units, interface=Interface("cli", names))


def _plain(declared: Declared, value: Any) -> Any:
    """Return a value as inputs take it."""
    if declared.several:
        return tuple(value or ())
    return value.date() if isinstance(value, datetime) else value


def in_units(given: Inputs, units: q.System) -> Inputs:
    """Return inputs whose bare numbers were typed in these units, made metric.

    Temperatures in the words of a forecast or an event are of these units too, where
    ``--temperature-unit`` does not say otherwise.
    """
    changed: dict[str, Any] = {
        d.name: d.metric(value, units) for d, value in given.said() if d.kind
    }
    said: Mapping[str, Any] = vars(given)
    if said.get("words") and said["temperature_unit"] is None:
        changed["temperature_unit"] = "f" if units == "us" else "c"
    return replace(given, **changed)


def _check_outputs(given: Inputs) -> None:
    """Raise InputError where what is written would destroy what is read or written."""
    outputs = {
        field(d.name): path
        for d, path in given.said(defaults=True)
        if d.option.writes and isinstance(path, Path)
    }
    if not outputs:
        return
    from climrisk.cli.provenance import input_files
    from climrisk.core.output_paths import check_outputs, files_of_home

    inputs = [path for _, path in input_files(given)]
    home = vars(given).get("home")
    if isinstance(home, Path):
        inputs += files_of_home(home)
    check_outputs(outputs, inputs, folders=(field("out"),))
