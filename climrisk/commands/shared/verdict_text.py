"""Verdicts and month states as words."""

from __future__ import annotations

import re
from collections.abc import Mapping

from climrisk.core.days import MONTH_NAMES

#: What a month's word asks of a grower.
STATE_WORDS = (
    "in: indoors; watch: out, carried in on single nights; out: no harmful night "
    "within the risk"
)


#: The same in a room: the plant need not be carried out of a house.
ROOM_WORDS = (
    "out: warm enough; watch: move it away from the glass or heat more on single "
    "nights; in: too cold here"
)


ROOMS = ("window-sill", "unheated-room", "heated-room")


def month_cell(state: str, note: str | None) -> str:
    """Return a month's state, with the day on which it changes."""
    if note is None or state != "in":
        return state
    for name in MONTH_NAMES:
        # Day and month stay on one line of a narrow cell, whichever comes first.
        note = re.sub(rf"(?<=\d) {name}", f"\N{NO-BREAK SPACE}{name[:3]}", note)
        note = re.sub(rf"{name} (?=\d)", f"{name[:3]}\N{NO-BREAK SPACE}", note)
    return note


def month_cells(states: Mapping[str, str], notes: Mapping[str, str]) -> list[str]:
    """Return the states of the months of a year, with the days on which they change."""
    return [month_cell(state, notes.get(m)) for m, state in states.items()]


def verdict_cell(word: str, may_be: str | None) -> str:
    """Return a verdict, with the one that the uncertainty leaves open."""
    return word if may_be is None else f"{word}, may be {may_be}"


def beside(basis: str) -> list[str]:
    """Return what limits a verdict that rests on little."""
    return {
        "typical year": ["a rough reading: a typical year holds no extremes"],
        "far station": ["a rough reading: the weather station is far away"],
    }.get(basis, [])


def of_plant(plant: str | None) -> str:
    """Return whose limits a picture shows, to begin its title with."""
    return "" if plant is None else f"{plant}: "
