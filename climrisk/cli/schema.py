"""``climrisk schema``: the JSON Schema of every document that commands print."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Any

import typer

if TYPE_CHECKING:
    from climrisk.render.document import Result


def schema() -> None:
    """Print the JSON Schema of the documents of --json."""
    import json

    typer.echo(json.dumps(schemas(), indent=1))


def schemas() -> dict[str, Any]:
    """Return one JSON Schema a document, by its name."""
    return {
        name: model.model_json_schema(by_alias=True, mode="serialization")
        for name, model in documents().items()
    }


def documents() -> dict[str, type[Result]]:
    """Return the results that are printed as documents: `FogResult` is ``fog``."""
    from importlib import import_module

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
