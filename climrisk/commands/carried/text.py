"""What was noted as carried, as words for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from climrisk.commands.carried.result import CarriedResult, StillOutside
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, some

#: Plants named one by one on each spot.
_MOST = 8


def carried_answer(result: CarriedResult) -> Answer:
    """Return what was noted, and what is still outside."""
    head, rows = outside(result.outside)
    parts: list[Part] = [
        Words(head),
        Rows(rows, tight=True, rank=1, least=3, what="more spot"),
    ]
    return Answer(result.sentence, parts, "")


def outside(plants: Sequence[StillOutside]) -> tuple[str, list[tuple[str, str]]]:
    """Return which plants stand outdoors by the notes, a row a spot."""
    if not plants:
        return "Nothing is outside by your notes.", []
    rows = []
    for spot in dict.fromkeys(p.spot for p in plants):
        there = [p for p in plants if p.spot == spot]
        rows.append(
            (spot, some([f"{p.count} {short_name(p.label)}" for p in there], _MOST))
        )
    return "Outside by your notes:", rows
