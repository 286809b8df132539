"""Risk by date and the tail of winters, as the numbers of a result."""

from __future__ import annotations

from climrisk.advice.curve import LADDER, DayRisk, date_span, risk_curve
from climrisk.advice.dates import RiskDate, move_in, move_out
from climrisk.commands.shared.dates_result import (
    RiskCurves,
    RiskDay,
    RiskRow,
)
from climrisk.commands.shared.judgements import Judgement
from climrisk.commands.shared.moving_dates import TYPICAL_YEAR
from climrisk.core.calendar import month_day

_WHY = (
    "the i-th of n winters has the risk i/(n + 1); the range holds 8 in 10 of what "
    "other winters of the same climate and the uncertainty of the spot would give"
)


def risk_curves(judgement: Judgement, *, typical: bool) -> RiskCurves:
    """Return the risk of a harmful night by date, and dates at risks from 1 to 50 %."""
    if typical:
        return RiskCurves(autumn=[], spring=[], by_risk=[], why=TYPICAL_YEAR)
    harmful = judgement.harmful
    autumn = risk_curve(harmful, autumn=True)
    spring = risk_curve(harmful, autumn=False)
    north = harmful.north
    rows = []
    for risk in LADDER:
        into = date_span(autumn, risk, autumn=True)
        out = date_span(spring, risk, autumn=False)
        dates = move_in(harmful, risk), move_out(harmful, risk)
        rows.append(
            RiskRow(
                risk=risk,
                move_in=_supported(dates[0], risk, north=north),
                move_in_earliest=month_day(into[0], north=north),
                move_in_latest=month_day(into[1], north=north),
                move_out=_supported(dates[1], risk, north=north),
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


def _supported(date: RiskDate, risk: float, *, north: bool) -> str | None:
    """Return a date, unless the record supports no risk as small."""
    return month_day(date.day, north=north) if date.risk <= risk + 1e-9 else None


def _day(row: DayRisk, *, north: bool) -> RiskDay:
    day_text = month_day(row.day, north=north)
    return RiskDay(month_day=day_text or "", risk=row.risk.rounded(3))
