"""The result of ``climrisk demo``."""

from __future__ import annotations

from climrisk.render.document import Result


class DemoResult(Result):
    """Where the report of the demo home lies, and what it says first."""

    report: str
    files: list[str]
    sentences: list[str]
