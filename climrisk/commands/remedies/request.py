"""Front door of the remedies: plain words in, a frozen result out."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

from climrisk.commands import api
from climrisk.commands.remedies.compute import remedies as _remedies
from climrisk.commands.shared.parse import question_of
from climrisk.commands.shared.request import DEFAULT_MEMBERS

if TYPE_CHECKING:
    from climrisk.commands.remedies.result import RemediesResult


def remedies(
    plant: str,
    weather: api.Weather,
    *,
    home: str | Path | None = None,
    as_of: str | date | None = None,
    members: int = DEFAULT_MEMBERS,
    **options: Any,
) -> RemediesResult:
    """Return what helps a plant most at its spot, each remedy alone.

    Parameters
    ----------
    plant : str
    weather : WeatherSeries or WeatherChoice
    home : str or Path, optional
        Its other spots and its rooms are tried.
    as_of : date or ``YYYY-MM-DD``, optional
    members : int
    options
        ``spot site pot pot_diameter medium wetness stands_on state risk spring_risk
        elevation``, as of `climrisk.assess`, and own limits.

    Raises
    ------
    InputError
        A name that is not known or a number out of range.
    """
    own, choice, source = api.home_of(weather, home)
    kept = own if home is not None else None
    today = api.today_of(choice, as_of)
    asked = question_of(plant, kept, today, members=members, **options)
    return _remedies(api.hours_of(source), asked)
