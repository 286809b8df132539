"""Towns as forms offer them: what was typed, and what it may be."""

from __future__ import annotations

import re
from dataclasses import dataclass

from climrisk.core.errors import InputError
from climrisk.weather.towns import Town, find_town, suggest_towns

_PLACE = re.compile(r"^\s*-?\d+(\.\d+)?\s*,\s*-?\d+(\.\d+)?\s*(,\s*-?\d+(\.\d+)?\s*)?$")


@dataclass(frozen=True)
class Candidate:
    """A town to choose; `value` is what a form sends for it."""

    value: str
    name: str
    lies_in: str


def candidates(text: str) -> list[Candidate]:
    """Return the towns that a text may mean, the likeliest first."""
    return [
        Candidate(_value(town), town.name, town.lies_in) for town in suggest_towns(text)
    ]


def place_fields(text: str) -> dict[str, str]:
    """Return how a request says a place: a town by name, or coordinates as such.

    Raises
    ------
    InputError
        No town is called so, or several are.
    """
    text = text.strip()
    if _PLACE.match(text):
        return {"at": re.sub(r"\s", "", text)}
    find_town(text)
    return {"town": text}


def _value(town: Town) -> str:
    """Return a town as it is found again: by its name, else by where it lies."""
    try:
        again = find_town(town.typed)
    except InputError:
        again = None
    here = (town.latitude_deg, town.longitude_deg)
    if again is not None and (again.latitude_deg, again.longitude_deg) == here:
        return town.typed
    return f"{here[0]:g},{here[1]:g}"
