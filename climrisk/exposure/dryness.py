"""Dry air at a spot: hours below a humidity, and of a drying power, by season."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from climrisk.core.arrays import Float
from climrisk.core.calendar import YEAR_H, Seasons, by_night
from climrisk.core.chunked import columns, several_by_slabs
from climrisk.exposure.hours import Exposure, expose
from climrisk.physics import humidity
from climrisk.spot.climate import SpotClimate

#: The seasons by the months of the northern half of the Earth.
SEASON_MONTHS = {
    "winter": (12, 1, 2),
    "spring": (3, 4, 5),
    "summer": (6, 7, 8),
    "autumn": (9, 10, 11),
}


@dataclass(frozen=True)
class DryLevels:
    """What counts as dry for a plant in a state.

    Parameters
    ----------
    vpd_kpa : tuple of float
        Three levels of the vapor pressure deficit: lively, hard and harsh drying.
    least_humidity_pct : float or None
        Humidity that a state wants, whatever the profile says; None for none.
    basis : str
    """

    vpd_kpa: tuple[float, float, float]
    least_humidity_pct: float | None
    basis: str


#: Settled plants: our estimates for thin leaves. What has no roots, or has just come
#: bare-root through the post, cannot replace what it loses: levels of propagation.
LEVELS = {
    "established": DryLevels((1.0, 1.5, 2.0), None, "our estimate"),
    "in-spike": DryLevels((1.0, 1.5, 2.0), None, "our estimate"),
    "unrooted": DryLevels((0.5, 0.8, 1.2), 70.0, "memory"),
    "new-import": DryLevels((0.8, 1.2, 1.6), 60.0, "memory"),
}


@dataclass(frozen=True)
class Dry:
    """Hours of dry air, every member of the spread.

    Parameters
    ----------
    levels : DryLevels
    humidity_pct : float or None
        The limit counted: the plant's, or that of its state where that is higher.
    humidity : Exposure or None
        Hours below it; None without a limit.
    deficit : Exposure
        Of the turned sign: hours above the levels of the deficit, in their order.
    """

    levels: DryLevels
    humidity_pct: float | None
    humidity: Exposure | None
    deficit: Exposure


def dry_air(
    climate: SpotClimate,
    seasons: Seasons,
    dark: NDArray[np.bool_],
    *,
    humidity_low_pct: float | None,
    state: str = "established",
) -> Dry:
    """Return the hours of dry air at a spot.

    Parameters
    ----------
    climate : SpotClimate
        Hours whose air or dew point is unknown stay unknown.
    seasons : Seasons
    dark : ndarray of bool, shape (time,)
    humidity_low_pct : float or None
        Humidity below which the plant suffers. [%]
    state : str
        A key of `LEVELS`: unrooted plants and new imports have stricter levels.
    """
    levels = LEVELS[state]
    wanted = [x for x in (humidity_low_pct, levels.least_humidity_pct) if x is not None]
    limit = max(wanted) if wanted else None
    moist = climate.air_c, climate.dew_point_c
    dark_hours = by_night(columns(dark), seasons.night)
    relative, deficit = several_by_slabs(humidity.rel_humidity_and_vpd, 2, *moist)
    below = None
    if limit is not None:
        below = expose(
            *(relative, seasons, dark, np.array([limit])), dark_hours=dark_hours
        )
    above = expose(
        *(deficit, seasons, dark, np.array(levels.vpd_kpa)),
        turned=True,
        dark_hours=dark_hours,
    )
    return Dry(levels, limit, below, above)


def hours_per_year(swept: Exposure, threshold: int) -> Float:
    """Return hours a year, shape (case,); NaN where nothing is known. [h/a]"""
    return _per(swept, threshold, tuple(range(1, 13)), YEAR_H)


def hours_per_season(
    swept: Exposure, threshold: int, season: str, *, north: bool
) -> Float:
    """Return hours in a season of a year, shape (case,); NaN where none is known.

    Seasons are those of the place: July is winter in the southern half.
    """
    months = season_months(season, north=north)
    return _per(swept, threshold, months, YEAR_H / 4)


def season_months(season: str, *, north: bool) -> tuple[int, ...]:
    """Return the months of a season of the place."""
    months = SEASON_MONTHS[season]
    return months if north else tuple((m + 5) % 12 + 1 for m in months)


def _per(
    swept: Exposure, threshold: int, months: tuple[int, ...], whole_h: float
) -> Float:
    rows = np.array(months) - 1
    hours = swept.hours[:, rows, threshold].sum(axis=(0, 1), dtype=float)
    expected = swept.expected[:, rows].sum()
    known = expected - swept.unknown[:, rows].sum(axis=(0, 1), dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.asarray(np.where(known > 0, hours / known * whole_h, np.nan))
