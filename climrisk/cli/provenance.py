"""What a command was asked, kept in its document, and asked again by ``--repeat``."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from contextlib import contextmanager, redirect_stdout
from datetime import UTC, date, datetime
from io import StringIO
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from climrisk.core.errors import InputError

if TYPE_CHECKING:
    from climrisk.commands.shared.command import Command
    from climrisk.inputs.option import Inputs
    from climrisk.render.document import Result

#: Commands whose answer is a change of the user's files.
_CHANGES = ("carried",)
#: Commands that write for any day.
_UNDATED = ("init",)
#: Parts of a document that say when or how fast it was made.
_STATED = ("seconds", "version", "files", "blocks_kept", "provenance")

#: Makes the provenance of the command that runs; the innermost is the last.
_RUNNING: list[Callable[[], Any]] = []


@contextmanager
def answering(command: Command, given: Inputs) -> Iterator[None]:
    """Let a command's document say what was asked and looked up."""
    from climrisk.core.lookups import noting

    with noting() as notes:

        def made() -> Any:
            from climrisk.commands.shared.provenance import day_counted, provenance

            today = day_counted(notes, _today(given))
            return provenance(
                *(command.name, notes),
                today=today,
                arguments=_arguments(command.name, given, today),
                files={f"--{name}": path for name, path in _read(given)},
            )

        _RUNNING.append(made)
        try:
            yield
        finally:
            _RUNNING.pop()


def document(result: Result) -> str:
    """Return the document of a result, with what the running command was asked."""
    if _RUNNING:
        result = result.model_copy(update={"provenance": _RUNNING[-1]()})
    return result.to_json()


def _today(given: Inputs) -> date:
    day = vars(given).get("as_of")
    return day if isinstance(day, date) else datetime.now(UTC).date()


def _arguments(command: str, given: Inputs, today: date) -> dict[str, Any]:
    """Return what was given beside the defaults, by the long names of the options."""
    said = {
        d.long_name: _plain(value)
        for d, value in given.said()
        if d.option.repeated and (not d.option.writes or d.name == "out")
    }
    # What today was is part of the question, said or not.
    if "as_of" in vars(given) and command not in _UNDATED:
        said["as-of"] = today.isoformat()
    return dict(sorted(said.items()))


def _plain(value: Any) -> Any:
    """Return the value of an input as it is typed."""
    if isinstance(value, tuple):
        return [_plain(v) for v in value]
    if isinstance(value, date):
        return value.isoformat()
    return str(value) if isinstance(value, Path) else value


def input_files(given: Inputs) -> Iterator[tuple[str, Path]]:
    """Yield what a command reads, by its option."""
    from climrisk.core.paths import is_file

    for declared, value in given.said(defaults=True):
        several = value if isinstance(value, tuple) else [value]
        if declared.name == "against" and value:
            # A station's ID, "demo" or a file.
            several = [Path(value)] if is_file(Path(value)) else []
        if not declared.option.writes:
            yield from ((declared.long_name, p) for p in several if isinstance(p, Path))


def _read(given: Inputs) -> Iterator[tuple[str, Path]]:
    from climrisk.core.output_paths import files_of_home

    for name, path in input_files(given):
        if not path.exists():
            continue
        yield name, path
        if name == "home":
            for file in files_of_home(path)[2:]:
                yield f"{name} weather.file", file


def repeat(app: typer.Typer, path: Path) -> None:
    """Print the document of the same question again, and say where it differs.

    Raises
    ------
    InputError
        No document of ours, or one that does not say what was asked.
    """
    old, made = _document(path)
    command = str(made["command"])
    commands = typer.main.get_command(app).commands  # type: ignore[attr-defined]
    if command not in commands:
        raise InputError("an unknown command", where=str(path), value=command)
    if command in _CHANGES:
        raise InputError(
            f"{command} changes the home file, and is not repeated",
            where="--repeat",
            value=path,
        )
    if (out := made["arguments"].get("out")) and Path(out).exists():
        raise InputError(
            "what the document wrote is there already",
            where="--repeat",
            value=out,
            next_step="move it away, and repeat",
        )
    _note_changes(old, made)
    words = _words(commands[command], made)
    printed = StringIO()
    with redirect_stdout(printed):
        app([command, *words], standalone_mode=False)
    typer.echo(printed.getvalue(), nl=False)
    differing = list(differences(old, json.loads(printed.getvalue())))
    if differing:
        shown = ", ".join(differing[:5]) + (", …" if len(differing) > 5 else "")
        _say(f"the answer differs from that of the document in {shown}")


def _document(path: Path) -> tuple[dict[str, Any], dict[str, Any]]:
    next_step = "give a file that a command wrote with --json"
    try:
        document = json.loads(path.read_text("utf-8"))
        made = document["provenance"]
        made["command"], dict(made["arguments"]), list(made["files"])
    except OSError as error:
        raise InputError(
            "cannot be read", where="--repeat", value=f"{path} ({error.strerror})"
        ) from error
    except (ValueError, LookupError, TypeError, RecursionError) as error:
        raise InputError(
            "no document that says what was asked",
            where="--repeat",
            value=path,
            next_step=next_step,
        ) from error
    return document, made


def _words(command: Any, made: dict[str, Any]) -> list[str]:
    """Return the words of the command line that ask the same."""
    given = dict(made["arguments"])
    options, places = ["--json"], []
    # Its numbers are metric, whatever the units of the home file. Words without a unit
    # were read by themselves, since no units were chosen, and are again.
    by_words = "words" in given and "temperature-unit" not in given
    if any(p.name == "units" for p in command.params) and not by_words:
        options.append("--units=metric")
    for parameter in command.params:
        name = _long_name(parameter)
        value = given.pop(name, None)
        several = value if isinstance(value, list) else [value]
        if value is None:
            continue
        if parameter.param_type_name == "argument":
            places += [str(v) for v in several]
        elif getattr(parameter, "is_flag", False):
            options += [parameter.opts[0]] if value else []
        else:
            options += [f"{parameter.opts[0]}={v}" for v in several]
    if given:
        raise InputError(
            f"{command.name} has no such option",
            where="--repeat",
            value=next(iter(given)),
            next_step="use the version of climrisk that made the document",
        )
    return [*options, "--", *places]


def _long_name(parameter: Any) -> str:
    """Return the long name of an option, or the name of an argument."""
    return str(parameter.opts[0]).lstrip("-").replace("_", "-")


def _note_changes(document: dict[str, Any], made: dict[str, Any]) -> None:
    from climrisk.commands.shared.provenance import used_file
    from climrisk.core.version import __version__

    if document.get("version") != __version__:
        _say(f"made by climrisk {document.get('version')}, this is {__version__}")
    for file in made.get("files", []):
        now = used_file(file["option"], Path(file["path"]))
        if now.sha256 != file["sha256"]:
            _say(f"{file['path']} has changed since")


def differences(old: Any, new: Any, where: str = "") -> Iterator[str]:
    """Yield where two documents differ, but for what states time, speed or version."""
    if isinstance(old, dict) and isinstance(new, dict):
        for key in [*old, *(k for k in new if k not in old)]:
            if where or key not in _STATED:
                yield from differences(
                    old.get(key), new.get(key), f"{where}.{key}".lstrip(".")
                )
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for i, pair in enumerate(zip(old, new, strict=True)):
            yield from differences(*pair, f"{where}[{i}]")
    elif old != new:
        yield where


def _say(text: str) -> None:
    typer.echo(f"note: {text}", err=True)
