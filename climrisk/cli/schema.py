"""``climrisk schema``: what documents, inputs and the home file look like."""

from __future__ import annotations

import re
from importlib import import_module
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from climrisk.render.document import Result


def schema() -> None:
    """Print the JSON Schema of documents, inputs and the home file."""
    import json

    typer.echo(json.dumps(schemas(), indent=1, default=str))


def schemas() -> dict[str, Any]:
    """Return one JSON Schema a document, by its name.

    Beside them stand ``inputs``, the options of every command, and ``home file``.
    """
    from climrisk.commands import COMMANDS
    from climrisk.home.json_schema import schema_of_home
    from climrisk.inputs.json_schema import schema_of

    commands = [
        import_module(f"climrisk.commands.{name}.command").COMMAND for name in COMMANDS
    ]
    return {
        **{
            name: model.model_json_schema(by_alias=True, mode="serialization")
            for name, model in documents().items()
        },
        "inputs": {command.name: schema_of(command.inputs) for command in commands},
        "home file": schema_of_home(),
    }


def documents() -> dict[str, type[Result]]:
    """Return the results that are printed as documents: `FogResult` is ``fog``."""
    from climrisk.commands import COMMANDS
    from climrisk.render.document import Result

    out = {}
    for command in sorted((*COMMANDS, "init")):
        module = import_module(f"climrisk.commands.{command}.result")
        for name, model in vars(module).items():
            own = isinstance(model, type) and model.__module__ == module.__name__
            if own and issubclass(model, Result):
                words = re.sub("(?<=[a-z])(?=[A-Z])", "-", name.removesuffix("Result"))
                out[words.lower()] = model
    return out
