"""What was noted as carried, as words for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from climrisk.commands.carried.result import CarriedResult, StillOutside

#: Plants named one by one before they are counted instead.
_MOST = 8


def carried_text(result: CarriedResult) -> str:
    """Return what was noted, and what is still outside."""
    return f"{result.sentence}\n{outside_words(result.outside)}"


def outside_words(outside: Sequence[StillOutside]) -> str:
    """Return which plants stand outdoors by the notes."""
    if not outside:
        return "Nothing is outside by your notes."
    lines = ["Outside by your notes:"]
    for spot in dict.fromkeys(p.spot for p in outside):
        there = [p for p in outside if p.spot == spot]
        names = [(f"{p.count} " if p.count > 1 else "") + p.label for p in there]
        if len(names) > _MOST:
            more = sum(p.count for p in there[_MOST:])
            names = [*names[:_MOST], f"{more} more"]
        lines.append(f"  {spot}: {'; '.join(names)}")
    return "\n".join(lines)
