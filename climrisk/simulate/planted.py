"""A profile as limits to judge by and as part of a result."""

from __future__ import annotations

from climrisk.plants.model import Kind, LimitRow, Profile
from climrisk.result.assess import Limit, PlantInfo
from climrisk.simulate.judge import Limits

#: Profile limits that a result shows, by our name.
SHOWN: tuple[Kind, ...] = (
    "preferred",
    "tolerated",
    "ceiling",
    "advised_top",
    "warm_night",
    "humidity_low_pct",
)


def limits_of(plant: Profile, state: str) -> Limits:
    """Return the limits of a plant in a state.

    A row that a source gives for the state (``when``) goes before the general one.
    """
    return Limits(
        preferred_c=_value(plant, "preferred", state),
        tolerated_c=_value(plant, "tolerated", state),
        hot_c=_value(plant, hot_kind(plant, state), state),
        warm_night_c=_value(plant, "warm_night", state),
        humidity_low_pct=_value(plant, "humidity_low_pct", state),
    )


def plant_info(
    plant: Profile, asked: str, state: str, read_as: str | None = None
) -> PlantInfo:
    """Return the plant as its profile knows it."""
    return PlantInfo(
        name=plant.name,
        asked=asked,
        read_as=read_as,
        label=plant.label,
        own=plant.own,
        limits=shown_limits(plant, state),
        rest=plant.rest,
        toxic_note=plant.toxic_note,
    )


def shown_limits(plant: Profile, state: str) -> dict[str, Limit | None]:
    """Return the limits that a result shows; None where no source gives one."""
    return {kind: _limit(plant, kind, state) for kind in SHOWN}


def limit_row(plant: Profile, kind: Kind, state: str) -> LimitRow | None:
    """Return the row that is judged by in a state, or None."""
    return plant.limit(kind, when=state) or plant.limit(kind)


def hot_kind(plant: Profile, state: str) -> Kind:
    """Return which heat limit is judged: a published one, else the ceiling."""
    ceiling = limit_row(plant, "ceiling", state)
    top = limit_row(plant, "advised_top", state)
    if ceiling is None or (top is not None and ceiling.basis == "memory"):
        return "advised_top"
    return "ceiling"


def _value(plant: Profile, kind: Kind, state: str) -> float | None:
    row = limit_row(plant, kind, state)
    return None if row is None else row.value


def _limit(plant: Profile, kind: Kind, state: str) -> Limit | None:
    row = limit_row(plant, kind, state)
    if row is None:
        return None
    return Limit(
        value=row.value,
        meaning=row.meaning,
        basis=row.basis,
        sources=list(row.sources),
    )
