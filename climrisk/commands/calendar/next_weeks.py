"""The next two weeks, as past years had them at a spot."""

from __future__ import annotations

from datetime import date

import numpy as np

from climrisk.commands.calendar.result import Coming
from climrisk.core.calendar import day_of_season
from climrisk.exposure.nights import Nights

#: Nights from today on: what a keeper can plan for (our choice).
COMING_NIGHTS = 14
_YEAR_DAYS = 365


def coming(nights: Nights, today: date, limit_c: float) -> Coming:
    """Return what the nights from today on were like in all years and members.

    Parameters
    ----------
    nights : Nights
        Of a spot; nights that do not count are left out.
    today : date
    limit_c : float
        The coldest night that the plant tolerates. [°C]
    """
    day = (today - date(1970, 1, 1)).days
    start = int(day_of_season(np.array([day]), north=nights.north)[0])
    ahead = (nights.day_of_season - start) % _YEAR_DAYS
    near = ahead < COMING_NIGHTS
    values = np.where(nights.valid[near], nights.lowest_c[near], np.nan)
    known = values[np.isfinite(values)]
    if known.size == 0:
        return Coming(
            nights=COMING_NIGHTS,
            years=0,
            low_c=None,
            mid_c=None,
            coldest_c=None,
            margin_k=None,
        )
    low, mid = (round(float(v), 1) for v in np.percentile(known, (10, 50)))
    seen = np.isfinite(values).any(axis=1)
    return Coming(
        nights=COMING_NIGHTS,
        years=len(np.unique(nights.growing_year[near][seen])),
        low_c=low,
        mid_c=mid,
        coldest_c=round(float(np.nanmin(np.nanmedian(values[seen], axis=1))), 1),
        margin_k=round(low - limit_c, 1),
    )
