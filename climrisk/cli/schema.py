"""``climrisk schema``."""

from __future__ import annotations

import typer


def schema() -> None:
    """The JSON Schema of every document that --json prints."""
    import json

    from climrisk.cli.document_schema import schema as every

    typer.echo(json.dumps(every(), indent=1))
