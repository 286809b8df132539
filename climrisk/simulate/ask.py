"""From what a user types to a question."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from climrisk import checks
from climrisk.errors import InputError
from climrisk.plants.registry import find
from climrisk.pot.media import WETNESSES
from climrisk.pot.model import Pot
from climrisk.simulate.assess import STATES, Question
from climrisk.spot.kinds import spot_kind


def question(
    plant: str,
    *,
    spot: str | None,
    pot_kind: str,
    pot_diameter_cm: float,
    medium: str,
    today: date,
    wetness: str = "damp",
    state: str = "established",
    risk: float = 0.1,
    members: int = 20,
    elevation_m: float | None = None,
) -> Question:
    """Return a question, its every part checked before any weather is read.

    Raises
    ------
    InputError
        A name that is not known or a number out of range, with what is allowed.
    """
    checks.risk(risk, where="--risk")
    checks.number_in(members, 1, 400, what="number of members", where="--members")
    if elevation_m is not None:
        checks.elevation(elevation_m, where="--elevation")
    _word(state, STATES, what="unknown plant state", where="--state")
    _word(wetness, WETNESSES, what="unknown wetness", where="--wetness")
    return Question(
        plant=find(plant),
        asked=plant,
        spot=None if spot is None else spot_kind(spot),
        pot=Pot.named(pot_kind, pot_diameter_cm, medium, wetness=WETNESSES[wetness]),
        today=today,
        state=state,
        risk=risk,
        members=int(members),
        elevation_m=elevation_m,
    )


def _word(value: str, allowed: Iterable[str], *, what: str, where: str) -> None:
    words = tuple(allowed)
    if value not in words:
        raise InputError(what, where=where, value=value, allowed=" ".join(words))
