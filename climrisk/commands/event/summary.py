"""What is seen first of a cold event: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.event.result import EventResult
from climrisk.commands.event.text import event_answer
from climrisk.commands.shared.facts import UNKNOWN, temperature
from climrisk.core.wording import day_of
from climrisk.render.summary import Summary, Tile, summary


def event_summary(result: EventResult, _: date) -> Summary:
    """Return how cold it was and what to expect of which plants."""
    known = [s for s in result.spots if s.lowest_c.mid is not None]
    coldest = min(known, key=lambda s: s.lowest_c.mid or 0.0, default=None)
    total = sum(p.count for p in result.plants)

    def counted(outlook: str) -> str:
        found = sum(p.count for p in result.plants if p.outlook == outlook)
        return f"{found} of {total}" if total else "–"

    tiles = [
        Tile(
            "Lowest",
            UNKNOWN if coldest is None else temperature(coldest.lowest_c),
            "" if coldest is None else f"on the {coldest.name}",
        ),
        Tile("Expect damage", counted("expect damage"), "by what is reported"),
        Tile("Watch", counted("watch"), "for weeks, see below"),
    ]
    event = result.told
    days = day_of(event.first) if event.first == event.last else ""
    days = days or f"{day_of(event.first)} to {day_of(event.last)}"
    return summary(
        event_answer(result), [days, event.words or "by the record"], tiles=tiles
    )
