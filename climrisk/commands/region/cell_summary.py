"""Cells picked out of maps, and how maps spread, as the numbers of a result."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.dates import STATUSES
from climrisk.advice.months import STATES
from climrisk.advice.places import VERDICTS
from climrisk.commands.region.result import CellPlant, MappedPlant, PickedCell
from climrisk.core.calendar import MONTH_DAYS
from climrisk.regions.job import JobPlant

Maps = Mapping[str, NDArray[Any]]
_EARTH_KM = 6371.0
#: Maps that `spread` needs.
SPREAD_MAPS = (
    "hours_below_preferred_per_year",
    "month_state",
    "months_indoors",
    "verdict_at_spot",
)
#: Map, key in the result, decimals.
_NUMBERS = (
    ("hours_below_preferred", 0),
    ("hours_below_preferred_per_year", 1),
    ("hours_below_tolerated", 0),
    ("degree_hours_below_preferred", 1),
    ("longest_run_hours", 0),
    ("longest_run_nights", 0),
    ("root_zone_hours_below_preferred", 0),
    ("share_of_years_with_cold_night", 3),
    ("share_of_years_with_harmful_night", 3),
    ("months_indoors", 1),
    ("hours_above_ceiling_per_year", 0),
    ("hours_above_advised_top_per_year", 0),
    ("warm_nights_per_year", 0),
)


def cell(
    maps: Maps,
    plants: Sequence[JobPlant],
    requested: tuple[float, float],
    center: tuple[float, float],
) -> PickedCell:
    """Return one cell as part of a result.

    Parameters
    ----------
    maps : mapping of str to ndarray, shape (plant, month) or part of it
        Of that cell alone.
    plants : sequence of JobPlant
    requested, center : (float, float)
        Latitude and longitude asked for, and of the cell.
    """
    return PickedCell(
        asked_latitude_deg=requested[0],
        asked_longitude_deg=requested[1],
        latitude_deg=round(center[0], 6),
        longitude_deg=round(center[1], 6),
        distance_km=round(distance_km(requested, center), 1),
        known_hours=number(maps["known_hours"], 0),
        lowest_air_temperature_c=number(maps["lowest_air_temperature"], 1),
        lowest_root_zone_temperature_c=number(maps["lowest_root_zone_temperature"], 1),
        plants=[_plant(maps, i, plant) for i, plant in enumerate(plants)],
    )


def _plant(maps: Maps, i: int, plant: JobPlant) -> CellPlant:
    numbers = {name: number(maps[name][i], digits) for name, digits in _NUMBERS}
    winters = number(maps["winters"][i], 0)
    return CellPlant(
        plant=plant.name,
        winters=None if winters is None else int(winters),
        verdict_at_spot=_word(maps["verdict_at_spot"][i], VERDICTS),
        months={
            str(m + 1): _word(maps["month_state"][i, m], STATES) for m in range(12)
        },
        move_in=month_day(maps["move_in_day_of_year"][i]),
        move_in_status=_word(maps["move_in_status"][i], STATUSES),
        move_out=month_day(maps["move_out_day_of_year"][i]),
        move_out_status=_word(maps["move_out_status"][i], STATUSES),
        **numbers,
    )


def spread(maps: Maps, i: int, plant: JobPlant) -> MappedPlant:
    """Return how the maps of a plant spread over the cells.

    Parameters
    ----------
    maps : mapping of str to ndarray, shape (plant, month, y, x) or part of it
    i : int
        Which plant.
    plant : JobPlant
    """
    hours = maps["hours_below_preferred_per_year"][i]
    hours = hours[np.isfinite(hours)]
    states = maps["month_state"][i].reshape(12, -1)
    judged = (states != -1).all(axis=0) & (states != STATES.index("unknown")).all(
        axis=0
    )
    out = (states[:, judged] == STATES.index("out")).sum(axis=0)
    inside = maps["months_indoors"][i]
    inside = inside[np.isfinite(inside)]
    verdict = maps["verdict_at_spot"][i]
    reasons = {}
    if hours.size == 0:
        reasons["hours_per_year"] = "no cell has a known hour"
    if not judged.any():
        reasons["months_out_median"] = "months need three years or more"
    if not inside.size:
        reasons["months_indoors_median"] = "dates need three winters or more"
    return MappedPlant(
        name=plant.name,
        label=plant.label,
        preferred_c=plant.preferred_c,
        tolerated_c=plant.tolerated_c,
        hours_per_year_least=_of(hours, np.min, 1),
        hours_per_year_median=_of(hours, np.median, 1),
        hours_per_year_most=_of(hours, np.max, 1),
        cells_never_below_share=_of(hours == 0, np.mean, 4),
        months_out_median=_of(out, np.median, 1),
        months_indoors_median=_of(inside, np.median, 1),
        cells_by_verdict={
            name: int((verdict == code).sum()) for code, name in enumerate(VERDICTS)
        },
        unknown_because=reasons,
    )


def _of(values: NDArray[Any], what: Any, digits: int) -> float | None:
    return round(float(what(values)), digits) if values.size else None


def number(value: Any, digits: int) -> float | None:
    """Return a number of a map; None where it is missing."""
    x = float(value)
    return round(x, digits) if np.isfinite(x) else None


def month_day(day_of_year: Any) -> str | None:
    """Return ``MM-DD`` of a day of a common year; None where there is none."""
    day = number(day_of_year, 0)
    if day is None:
        return None
    left = int(day)
    for month, length in enumerate(MONTH_DAYS, start=1):
        if left <= length:
            return f"{month:02d}-{left:02d}"
        left -= length
    return None


def _word(code: Any, names: Sequence[str]) -> str | None:
    return names[int(code)] if int(code) >= 0 else None


def distance_km(a: tuple[float, float], b: tuple[float, float]) -> float:
    """Return the great-circle distance of two places (haversine)."""
    lat0, lon0, lat1, lon1 = (np.deg2rad(v) for v in (*a, *b))
    h = np.sin((lat1 - lat0) / 2) ** 2
    h += np.cos(lat0) * np.cos(lat1) * np.sin((lon1 - lon0) / 2) ** 2
    return float(2 * _EARTH_KM * np.arcsin(np.sqrt(h)))
