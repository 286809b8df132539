"""Moving dates and names as words."""

from __future__ import annotations

from climrisk.commands.shared.dates_result import Move
from climrisk.commands.shared.subject_result import PlantInfo
from climrisk.render.display_units import day_in_words


def read_as_lines(plant: PlantInfo) -> list[str]:
    """Return that the answer is for another name than the one typed; else nothing."""
    if plant.read_as is None:
        return []
    return [f'"{plant.asked.strip()}" read as {plant.read_as}.']


def words(row: Move) -> str:
    """Return a moving date as 12 October, or why there is none, short."""
    if row.month_day is not None:
        return day_in_words(row.month_day)
    return {
        "never": "stays out",
        "always": "cold all year",
        "few": "no date: fewer than 3 winters",
        "typical year": "no date: typical year",
    }.get(row.status, "no date")


def inside_now(into: Move, out: Move) -> bool:
    """Whether the date to move in has passed and the one to move out has not."""
    if into.next_date is None or out.next_date is None:
        return False
    return out.next_date < into.next_date
