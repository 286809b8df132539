"""A new home file as words for a terminal."""

from __future__ import annotations

from climrisk.commands.init.result import InitResult, PlacedPlant
from climrisk.core.references import field
from climrisk.core.wording import plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, some


def init_answer(result: InitResult) -> Answer:
    """Return what was written, what is missing, and what to do next."""
    count = sum(p.count for p in result.plants)
    rooms = plural(len(result.rooms), "room") if result.rooms else "no room"
    holds = f"{plural(len(result.spots), 'spot')}, {rooms} and {plural(count, 'plant')}"
    rows = []
    for place in (*result.spots, *result.rooms):
        here = [_plant(p) for p in result.plants if p.at == place.name]
        kind = "" if place.name == place.at else f"{place.at}: "
        rows.append((place.name, f"{kind}{some(here) or 'no plant'}"))
    read = [f'"{p.typed}" as {short_name(p.name)}' for p in result.plants if p.read_as]
    parts: list[Part] = [Rows(rows, rank=2, least=3, what="more place")]
    if read:
        parts.append(Words(f"Read {some(list(dict.fromkeys(read)))}.", rank=1))
    if not result.rooms and not any(p.indoors for p in result.spots):
        parts.append(
            Words(
                "No room is named, so no move indoors can be noted: add one, such as "
                f"{field('room', 'sill=window-sill')}.",
                rank=1,
            )
        )
    if result.assumed:
        parts.append(Words(f"Assumed: {'; '.join(result.assumed)}.", rank=1))
    if result.undo is not None:
        parts.append(Words(f"What was there before: {result.undo}", rank=1))
    parts.append(Words(f"Next: {'; '.join(result.next_steps)}"))
    return Answer(f"{result.file} is written: {holds}.", parts, "")


def _plant(plant: PlacedPlant) -> str:
    return f"{plant.count} {short_name(plant.name)}"
