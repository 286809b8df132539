"""The limits that a plant is judged by, in the state it is in."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.plants.model import LimitKind, LimitRow, Profile

#: Limits that a result shows, in this order.
SHOWN: tuple[LimitKind, ...] = (
    "preferred",
    "tolerated",
    "ceiling",
    "advised_top",
    "warm_night",
    "light_floor",
    "humidity_low_pct",
)


@dataclass(frozen=True)
class PlantLimits:
    """Limits of a plant in a state; None where no source gives one.

    Parameters
    ----------
    preferred, tolerated : LimitRow
        Night minimum it prefers, and the coldest night it tolerates. [°C]
    ceiling, advised_top, warm_night : LimitRow or None
        Stated upper limit, advised day maximum, and the night minimum above which a
        cool grower declines. [°C]
    light_floor : LimitRow or None
        Daily light below which it declines over a winter. [mol/m²]
    humidity_low_pct : LimitRow or None
    """

    preferred: LimitRow
    tolerated: LimitRow
    ceiling: LimitRow | None = None
    advised_top: LimitRow | None = None
    warm_night: LimitRow | None = None
    light_floor: LimitRow | None = None
    humidity_low_pct: LimitRow | None = None

    @property
    def preferred_c(self) -> float:
        """Night minimum it prefers. [°C]"""
        return self.preferred.value

    @property
    def tolerated_c(self) -> float:
        """Coldest night it tolerates. [°C]"""
        return self.tolerated.value

    @property
    def warm_night_c(self) -> float | None:
        """Night minimum above which it declines. [°C]"""
        return None if self.warm_night is None else self.warm_night.value

    @property
    def humidity_pct(self) -> float | None:
        """Humidity it should have at least. [%]"""
        row = self.humidity_low_pct
        return None if row is None else row.value

    @cached_property
    def heat(self) -> LimitRow | None:
        """The day limit that is shown: the lowest published one, else the lowest."""
        rows = self.day_limits
        return min(rows, key=lambda r: (not r.firm, r.value), default=None)

    @property
    def heat_c(self) -> float | None:
        """Value of `heat`. [°C]"""
        return None if self.heat is None else self.heat.value

    @property
    def day_limits(self) -> tuple[LimitRow, ...]:
        """Every limit of hot hours."""
        return tuple(r for r in (self.ceiling, self.advised_top) if r is not None)


def limit_row(plant: Profile, kind: LimitKind, state: str) -> LimitRow | None:
    """Return the row that is judged by in a state, or None.

    A row that a source gives for the state (``when``) takes precedence.
    """
    return plant.limit(kind, when=state) or plant.limit(kind)


def limits_of(plant: Profile, state: str, *, strict: bool = False) -> PlantLimits:
    """Return the limits of a plant in a state.

    Parameters
    ----------
    plant : Profile
    state : str
        ``established in-spike unrooted new-import``.
    strict : bool
        Treat every night below the preferred minimum as harmful.

    Raises
    ------
    InputError
        The profile has no night minimum.
    """
    rows = {kind: limit_row(plant, kind, state) for kind in SHOWN}
    preferred, tolerated = rows.pop("preferred"), rows.pop("tolerated")
    if preferred is None or tolerated is None:
        raise InputError(
            "this plant has no night minimum to judge by",
            where=plant.name,
            next_step=f"give one with {field('preferred')} and {field('limit_source')}",
        )
    if strict:
        tolerated = preferred
    elif tolerated.value > preferred.value:
        # A state may allow colder nights than the general limit does.
        tolerated = replace_value(tolerated, preferred.value)
    return PlantLimits(preferred, tolerated, **{str(k): v for k, v in rows.items()})


def replace_value(row: LimitRow, value: float) -> LimitRow:
    """Return a limit with another value."""
    return row.model_copy(update={"value": value})


def shifted(limits: PlantLimits, by_k: float) -> PlantLimits:
    """Return limits whose night minima are so much higher."""
    return replace(
        limits,
        preferred=replace_value(limits.preferred, limits.preferred.value + by_k),
        tolerated=replace_value(limits.tolerated, limits.tolerated.value + by_k),
    )
