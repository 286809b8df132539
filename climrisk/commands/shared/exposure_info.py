"""What was met, as the numbers of a result."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.heat import HeatCounts as HeatCounts
from climrisk.advice.medians import median
from climrisk.commands.shared.dates_result import ColdestNight
from climrisk.commands.shared.exposures import Judged, warm_nights
from climrisk.commands.shared.exposures_result import Chill, Heat, HeatLimit, PerYear
from climrisk.core.arrays import Float
from climrisk.core.calendar import as_date, season_date
from climrisk.core.ranges import Band
from climrisk.exposure.hours import Exposure
from climrisk.render.document import SeasonBand
from climrisk.spot.transfer import Prepared


def chill(swept: Exposure, prepared: Prepared) -> Chill:
    """Return the exposure of air, leaf or root zone to the cold limits.

    The pass counted below the preferred and the tolerated minimum, in this order.
    """
    low, mid, high = swept.longest_run_nights(0)
    run = Band.of(mid) if (low == high).all() else _outer(low, mid, high)
    return Chill(
        hours_below_preferred=_hours(swept, 0),
        hours_below_tolerated=_hours(swept, 1),
        lowest_c=Band.of(np.fmin.reduce(swept.nights.lowest_c)).rounded(1),
        longest_run_nights=run,
        preferred_per_growing_year=per_year(swept, 0, prepared),
        tolerated_per_growing_year=per_year(swept, 1, prepared),
    )


def _hours(swept: Exposure, k: int) -> Band:
    unknown = float(round(np.median(swept.total_unknown)))
    return Band.of(swept.total_hours[k], unknown=unknown).rounded(0)


def _outer(low: Float, mid: Float, high: Float) -> Band:
    """Return a band that unknown nights widen."""
    inner = Band.of(mid)
    return Band(
        float(np.percentile(low, 10)), inner.mid, float(np.percentile(high, 90))
    )


def per_year(swept: Exposure, k: int, prepared: Prepared) -> PerYear | None:
    """Return hours of a typical and of the worst whole growing year.

    The typical one is the median over years and members, the worst that of the median
    member.
    """
    whole = swept.whole_years
    if not whole.any():
        return None
    hours = np.median(swept.hours[:, :, k].sum(axis=1), axis=1)[whole]
    years = swept.years[whole]
    worst = int(np.argmax(hours))
    return PerYear(
        typical=yearly_hours(swept, k).mid,
        worst=round(float(hours[worst]), 1),
        worst_label=prepared.seasons.label(int(years[worst])),
    )


def yearly_hours(swept: Exposure, k: int) -> Band:
    """Return hours of a whole growing year, over years and members.

    A record without a whole year is counted as the one stretch it is.
    """
    hours, whole = swept.hours[:, :, k].sum(axis=1), swept.whole_years
    return Band.of(hours[whole] if whole.any() else hours.sum(axis=0)).rounded(1)


def yearly_nights(swept: Exposure, limit_c: float) -> Band:
    """Return nights below a limit in a growing year, over years and members."""
    below = swept.nights.lowest_c < limit_c
    years = swept.years[swept.whole_years]
    if not len(years):
        return Band.of(below.sum(axis=0)).rounded(1)
    year = swept.nights.growing_year
    return Band.of([below[year == y].sum(axis=0) for y in years]).rounded(1)


def heat(
    judged: Judged, prepared: Prepared, counted: HeatCounts, months: Sequence[int]
) -> Heat:
    """Return the exposure to heat limits.

    Parameters
    ----------
    judged : Judged
    prepared : Prepared
    counted : climrisk.advice.heat.Heat
    months : sequence of int
        All months.
    """
    limits = judged.limits
    reasons = {}
    hours = years = None
    if limits.heat is None:
        reasons["hours_above_limit"] = "no source gives a heat limit for this plant"
    else:
        k = limits.day_limits.index(limits.heat)
        hours, years = _hours(judged.hot, k), per_year(judged.hot, k, prepared)
    warm = warm_years = None
    if limits.warm_night_c is None:
        reasons["warm_nights"] = "no source says that warm nights harm this plant"
    else:
        count = warm_nights(judged)
        warm = Band.of(count.sum(axis=0)).rounded(0)
        warm_years = year_counts(count, judged, prepared)
    highest = -np.nanmin(judged.hot.nights.lowest_c, axis=0)
    known = counted.counts and all(
        c.typical(months) is not None for c in counted.counts
    )
    return Heat(
        limit_c=limits.heat_c,
        hours_above_limit=hours,
        per_growing_year=years,
        warm_night_c=limits.warm_night_c,
        warm_nights=warm,
        warm_nights_per_growing_year=warm_years,
        limits=[
            HeatLimit(
                kind=c.kind,
                limit_c=c.row.value,
                basis=c.row.basis,
                typical=c.typical(months),
                rules_out_beyond=c.limit,
            )
            for c in counted.counts
        ],
        highest_c=Band.of(highest).rounded(1),
        met=None if not known else not counted.too_hot(months),
        unknown_because=reasons,
    )


def year_counts(
    nights: NDArray[np.bool_], judged: Judged, prepared: Prepared
) -> PerYear | None:
    """Return how many of some nights a typical and the worst growing year have."""
    whole = judged.air.years[judged.air.whole_years]
    if len(whole) == 0:
        return None
    year = judged.air.nights.growing_year
    counts = [float(np.median(nights[year == y].sum(axis=0))) for y in whole]
    worst = int(np.argmax(counts))
    return PerYear(
        typical=float(np.median(counts)),
        worst=counts[worst],
        worst_label=prepared.seasons.label(int(whole[worst])),
    )


def middle_member(values: Float) -> Float:
    """Return the median over members, NaN where any member is unknown."""
    return median(values)


def coldest_nights(swept: Exposure, count: int = 5) -> list[ColdestNight]:
    """Return the coldest nights of the record by the middle member."""
    lowest = middle_member(swept.nights.lowest_c)
    order = np.argsort(np.where(np.isnan(lowest), np.inf, lowest), kind="stable")
    return [
        ColdestNight(
            evening=as_date(int(swept.nights.evening[i])).isoformat(),
            lowest_c=round(float(lowest[i]), 1),
        )
        for i in order[:count]
        if np.isfinite(lowest[i])
    ]


def year_strip(swept: Exposure) -> list[SeasonBand]:
    """Return the spread of night minima by week of the growing year."""
    nights = swept.nights
    week = np.minimum(nights.day_of_season // 7, 51)
    middle = middle_member(nights.lowest_c)
    out = []
    for w in range(52):
        values = nights.lowest_c[week == w]
        values = values[np.isfinite(values)]
        month, day = season_date(w * 7, north=nights.north)
        starts = f"{month:02d}-{day:02d}"
        if values.size == 0:
            out.append(
                SeasonBand(
                    week=w,
                    starts=starts,
                    low_c=None,
                    mid_c=None,
                    high_c=None,
                    coldest_c=None,
                )
            )
            continue
        low, mid, high = (
            round(float(v), 1) for v in np.percentile(values, (10, 50, 90))
        )
        out.append(
            SeasonBand(
                week=w,
                starts=starts,
                low_c=low,
                mid_c=mid,
                high_c=high,
                coldest_c=round(float(np.nanmin(middle[week == w])), 1),
            )
        )
    return out
