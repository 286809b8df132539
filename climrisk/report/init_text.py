"""A new home file as words for a terminal."""

from __future__ import annotations

from climrisk.report.tables import table
from climrisk.result.init import InitResult


def init_text(result: InitResult) -> str:
    """Return what was written and what to do next."""
    rows = [("spot", p.name, p.at) for p in result.spots]
    rows += [("room", p.name, p.at) for p in result.rooms]
    rows += [("plant", p.name, p.at) for p in result.plants]
    parts = [result.sentence, table(("", "name", "kind or spot"), rows)]
    parts += [f"Assumed: {text}." for text in result.assumed]
    if result.undo is not None:
        parts.append(f"What was there before: {result.undo}")
    parts.append("Next: " + "; ".join(result.next_steps))
    return "\n\n".join(parts)
