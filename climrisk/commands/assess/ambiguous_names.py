"""Front door of a name that needs an answer: side by side, or remembered."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from climrisk.commands import api
from climrisk.commands.assess.several import assess_several, opened
from climrisk.commands.shared.parse import question_of
from climrisk.core.errors import InputError
from climrisk.home import edit_home
from climrisk.plants.registry import AmbiguousPlant, UnknownPlant, find

if TYPE_CHECKING:
    from climrisk.commands.assess.result import AssessResult
    from climrisk.commands.assess.several_result import AssessSeveral


def assess_open(
    plant: str,
    weather: api.Weather,
    *,
    home: str | Path | None = None,
    as_of: str | date | None = None,
    **options: Any,
) -> AssessResult | AssessSeveral:
    """Return the answer for a plant, or those of all plants that a name may mean.

    Parameters
    ----------
    plant : str
        A name; one that covers several plants, or that no profile has, gives several
        answers and one question.
    weather, home, as_of, options
        As `climrisk.assess`.

    Raises
    ------
    InputError
        A misspelt name, with the nearest ones; any other argument that is wrong.
    """
    try:
        return api.assess(plant, weather, home=home, as_of=as_of, **options)
    except (AmbiguousPlant, UnknownPlant) as error:
        told = opened(error, plant)
    own, choice, source = api.home_of(weather, home)
    today = api.today_of(choice, as_of)
    kept = own if home is not None else None
    questions = [question_of(p, kept, today, **options) for _, p in told.plants]
    return assess_several(api.hours_of(source), told, questions)


def remember(home: str | Path | None, asked: str, meant: str) -> str:
    """Write into a home file what a name means, and return the profile's name.

    Raises
    ------
    InputError
        No home file, or a meaning that is no single plant.
    """
    if home is None:
        raise InputError(
            "nowhere to remember it",
            where="--means",
            value=meant,
            allowed="together with --home FILE",
        )
    name = find(meant).name
    with edit_home(Path(home)) as edit:
        edit.answer(asked, name)
    return name
