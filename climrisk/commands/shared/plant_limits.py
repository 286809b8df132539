"""A plant as part of a result."""

from __future__ import annotations

from climrisk.advice.limits import SHOWN, PlantLimits
from climrisk.commands.shared.subject_result import LimitInfo, PlantInfo
from climrisk.plants.model import LimitRow, Profile


def plant_info(
    plant: Profile, typed: str, limits: PlantLimits, read_as: str | None = None
) -> PlantInfo:
    """Return the plant as its profile knows it."""
    return PlantInfo(
        name=plant.name,
        asked=typed,
        read_as=read_as,
        label=plant.label,
        own=plant.own,
        limits=shown_limits(limits),
        rest=plant.rest,
        toxic_note=plant.toxic_note,
    )


def shown_limits(limits: PlantLimits) -> dict[str, LimitInfo | None]:
    """Return the limits that a result shows; None where no source gives one."""
    rows = {kind: getattr(limits, kind) for kind in SHOWN}
    return {k: None if row is None else limit_info(row) for k, row in rows.items()}


def limit_info(row: LimitRow) -> LimitInfo:
    """Return a limit as part of a result."""
    return LimitInfo(
        value=row.value,
        meaning=row.meaning,
        basis=row.basis,
        sources=list(row.sources),
    )
