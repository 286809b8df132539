"""Dates and winters as the numbers of a result."""

from __future__ import annotations

from datetime import date

import numpy as np

from climrisk.advice.cold_nights import ColdNights
from climrisk.advice.dates import MovingDates, RiskDate
from climrisk.advice.return_levels import coldest_of_winters, tail
from climrisk.commands.shared.dates_result import (
    DateRange,
    Move,
    TailInfo,
    TailLevel,
    UsualNights,
    Winters,
)
from climrisk.commands.shared.exposure_info import coldest_nights
from climrisk.commands.shared.exposures import Judged
from climrisk.commands.shared.trend import drift_info
from climrisk.core.calendar import month_day, season_date
from climrisk.core.ranges import Band
from climrisk.exposure.nights import Nights


def move(date_: RiskDate, *, today: date, north: bool, typical: bool) -> Move:
    """Return a moving date as a result.

    A typical year has no winters to count, so it has no date and no risk.
    """
    return Move(
        month_day=month_day(date_.day, north=north),
        next_date=next_date(date_.day, today, north=north),
        range=DateRange(
            earliest=month_day(date_.earliest, north=north),
            latest=month_day(date_.latest, north=north),
        ),
        risk=round(date_.risk, 4),
        n=date_.winters,
        status="typical year" if typical else date_.status,
        governed_by=date_.governed_by,
        why=date_.why,
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


def usual_nights(dates: MovingDates, *, north: bool) -> UsualNights:
    """Return the first and the last cold night of the median winter."""
    return UsualNights(
        first_cold_night=month_day(dates.usual_first_cold, north=north),
        last_cold_night=month_day(dates.usual_last_cold, north=north),
    )


def winters_info(
    judged: Judged, cold: ColdNights, harmful: ColdNights, *, typical: bool
) -> Winters:
    """Return how many winters count, and how many had a cold or harmful night."""
    cold_n, harmful_n = (
        None if typical else _whole(Band.of(x.winters_with_cold()))
        for x in (cold, harmful)
    )
    return Winters(
        n=0 if typical else len(cold.winters),
        with_cold_night=cold_n,
        with_harmful_night=harmful_n,
        coldest=coldest_nights(judged.air),
        tail=tail_info(judged.air.nights, cold, typical=typical),
        drift=None if typical else drift_info(judged.air.nights),
    )


def _whole(band: Band) -> Band:
    """Return counts of winters as whole numbers."""
    if band.low is None or band.mid is None or band.high is None:
        return band
    return Band(*(float(np.round(v)) for v in (band.low, band.mid, band.high)))


def tail_info(nights: Nights, cold: ColdNights, *, typical: bool) -> TailInfo:
    """Return the coldest night once in N winters."""
    if typical:
        return TailInfo(distribution="none", winters=0, levels=[], why=TYPICAL_YEAR)
    levels = tail(coldest_of_winters(nights, cold))
    return TailInfo(
        distribution=levels.distribution,
        winters=levels.winters,
        levels=[
            TailLevel(once_in_winters=n, lowest_c=band.rounded(1))
            for n, band in levels.once_in.items()
        ],
        why=levels.why,
    )


TYPICAL_YEAR = "a typical year has no winters to count: no date and no risk"
