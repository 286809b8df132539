"""Risk by date and the tail of winters, as the numbers of a result."""

from __future__ import annotations

from climrisk.advice.curve import LADDER, DayRisk, date_span, risk_curve
from climrisk.advice.dates import move_in, move_out
from climrisk.advice.judged import ColdNights
from climrisk.advice.tail import coldest_of_winters, tail
from climrisk.exposure.nights import Nights
from climrisk.result.dates import RiskCurves, RiskDay, RiskRow, TailInfo, TailLevel
from climrisk.seasons import month_day

_TYPICAL = "a typical year has no winters to count: no date and no risk"
_WHY = (
    "the i-th of n winters has the risk i/(n + 1); the band holds 8 in 10 of what "
    "other winters of the same climate and other worlds of the spot would give"
)


def risk_curves(cold: ColdNights, *, typical: bool) -> RiskCurves:
    """Return the risk of each date, and the dates at risks from 1 to 50 %."""
    if typical:
        return RiskCurves(autumn=[], spring=[], by_risk=[], why=_TYPICAL)
    autumn = risk_curve(cold, autumn=True)
    spring = risk_curve(cold, autumn=False)
    north = cold.north
    rows = []
    for risk in LADDER:
        into = date_span(autumn, risk, autumn=True)
        out = date_span(spring, risk, autumn=False)
        rows.append(
            RiskRow(
                risk=risk,
                move_in=month_day(move_in(cold, risk).day, north=north),
                move_in_earliest=month_day(into[0], north=north),
                move_in_latest=month_day(into[1], north=north),
                move_out=month_day(move_out(cold, risk).day, north=north),
                move_out_earliest=month_day(out[0], north=north),
                move_out_latest=month_day(out[1], north=north),
            )
        )
    return RiskCurves(
        autumn=[_day(r, north=north) for r in autumn],
        spring=[_day(r, north=north) for r in spring],
        by_risk=rows,
        why=_WHY,
    )


def _day(row: DayRisk, *, north: bool) -> RiskDay:
    told = month_day(row.day, north=north)
    return RiskDay(month_day=told or "", risk=row.risk.rounded(3))


def tail_info(nights: Nights, cold: ColdNights, *, typical: bool) -> TailInfo:
    """Return the coldest night once in N winters."""
    if typical:
        return TailInfo(distribution="none", winters=0, levels=[], why=_TYPICAL)
    told = tail(coldest_of_winters(nights, cold))
    return TailInfo(
        distribution=told.distribution,
        winters=told.winters,
        levels=[
            TailLevel(once_in_winters=n, lowest_c=band.rounded(1))
            for n, band in told.once_in.items()
        ],
        why=told.why,
    )
