"""The result of ``climrisk demo``."""

from __future__ import annotations

from climrisk.commands.shared.result import CommandResult


class DemoResult(CommandResult):
    """Where the report of the demo home lies, and what it says first."""

    report: str
    files: list[str]
    sentences: list[str]
