"""A new home file as words for a terminal."""

from __future__ import annotations

from climrisk.commands.init.result import InitResult, PlacedPlant
from climrisk.render.tables import table


def init_text(result: InitResult) -> str:
    """Return what was written and what to do next."""
    rows = [("spot", p.name, p.at) for p in result.spots]
    rows += [("room", p.name, p.at) for p in result.rooms]
    rows += [("plant", _plant(p), p.at) for p in result.plants]
    parts = [result.sentence, table(("", "name", "kind or spot"), rows)]
    parts += [f"Assumed: {text}." for text in result.assumed]
    if result.undo is not None:
        parts.append(f"What was there before: {result.undo}")
    parts.append("Next: " + "; ".join(result.next_steps))
    return "\n\n".join(parts)


def _plant(plant: PlacedPlant) -> str:
    """Return a plant with its count, and the name it was read from."""
    count = f"{plant.count} x " if plant.count > 1 else ""
    typed = f" ({plant.typed})" if plant.read_as else ""
    return f"{count}{plant.name}{typed}"
