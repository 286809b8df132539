"""``climrisk schema``."""

from __future__ import annotations

import typer


def schema() -> None:
    """Print the JSON Schema of the documents of --json, of inputs and the home file."""
    import json

    from climrisk.cli.document_schema import schema as every

    typer.echo(json.dumps(every(), indent=1, default=str))
