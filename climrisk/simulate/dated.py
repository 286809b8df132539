"""Dates and winters as the numbers of a result."""

from __future__ import annotations

from datetime import date

import numpy as np

from climrisk.advice.dates import RiskDate
from climrisk.advice.judged import ColdNights
from climrisk.bands import Band
from climrisk.result.assess import DateRange, Move, Winters
from climrisk.seasons import month_day, season_date
from climrisk.simulate.curves import tail_info
from climrisk.simulate.drifted import drift_info
from climrisk.simulate.judge import Judged
from climrisk.simulate.summary import coldest_nights


def move(
    told: RiskDate, *, risk: float, today: date, north: bool, typical: bool
) -> Move:
    """Return a moving date as a result.

    A typical year has no winters to count, so it has no date and no risk.
    """
    if typical:
        return Move(
            month_day=None,
            next_date=None,
            range=DateRange(earliest=None, latest=None),
            risk=risk,
            n=0,
            status="typical year",
            why="a typical year has no winters to count: no date and no risk",
        )
    return Move(
        month_day=month_day(told.day, north=north),
        next_date=next_date(told.day, today, north=north),
        range=DateRange(
            earliest=month_day(told.earliest, north=north),
            latest=month_day(told.latest, north=north),
        ),
        risk=risk,
        n=told.winters,
        status=told.status,
        why=told.why,
    )


def next_date(day: int | None, today: date, *, north: bool) -> str | None:
    """Return the next calendar date of a day of the growing year, from today on."""
    if day is None:
        return None
    month, of_month = season_date(day, north=north)
    this = date(today.year, month, of_month)
    if this < today:
        this = date(today.year + 1, month, of_month)
    return this.isoformat()


def winters_info(judged: Judged, cold: ColdNights, *, typical: bool) -> Winters:
    """Return how many winters count, and how many had a cold or damaging night."""
    damaging = None
    if judged.limits.tolerated_c is not None:
        low = judged.cold(judged.limits.tolerated_c)
        damaging = _whole(Band.of(low.winters_with_cold()))
    return Winters(
        n=0 if typical else len(cold.winters),
        with_cold_night=None if typical else _whole(Band.of(cold.winters_with_cold())),
        with_damaging_night=None if typical else damaging,
        coldest=coldest_nights(judged.air),
        tail=tail_info(judged.air.nights, cold, typical=typical),
        drift=None if typical else drift_info(judged.air.nights),
    )


def _whole(band: Band) -> Band:
    """Return counts of winters as whole numbers."""
    if band.low is None or band.mid is None or band.high is None:
        return band
    return Band(*(float(np.round(v)) for v in (band.low, band.mid, band.high)))
