"""What an ambiguous name means, remembered in the home file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.home import edit_home
from climrisk.plants.registry import find

if TYPE_CHECKING:
    pass


def remember(home: str | Path | None, typed: str, meant: str) -> str:
    """Write into a home file what a name means, and return the profile's name.

    Raises
    ------
    InputError
        No home file, or a meaning that is no single plant.
    """
    if home is None:
        raise InputError(
            "nowhere to remember it",
            where=field("means"),
            value=meant,
            allowed=f"together with {field('home', 'FILE')}",
        )
    name = find(meant).name
    with edit_home(Path(home)) as edit:
        edit.answer(typed, name)
    return name
