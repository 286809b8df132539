"""Page, chart and table of a winter."""

from __future__ import annotations

from functools import partial

from climrisk.commands.shared.verdict_text import of_plant
from climrisk.commands.winter.chart import winter_ladder
from climrisk.commands.winter.page import winter_page
from climrisk.commands.winter.result import WinterResult
from climrisk.render.exports import Exports

_LADDER = (
    "A bar runs from a night's lowest to its evening temperature; the more "
    "hours below the first limit, the stronger its color; plain on clear calm "
    "nights, striped on windy or cloudy ones."
)


def exports(result: WinterResult) -> Exports:
    """Return page, chart and table of a winter."""
    keys = [f"{t.threshold_c:g}" for t in result.thresholds]
    return Exports(
        page=partial(winter_page, result),
        figure=partial(winter_ladder, result),
        title=f"{of_plant(result.plant)}Winter {result.shown} {result.spot_at}, night "
        "by night",
        words=_LADDER,
        header=[
            *("evening", "lowest_c", "low_c", "high_c", "evening_c"),
            *(f"hours_below_{k}" for k in keys),
            *("regime_weight", "regime_spread", "kind", "wind_m_s"),
            *("counts", "known"),
        ],
        rows=lambda: [
            (
                *(n.evening, n.lowest_c, n.low_c, n.high_c, n.evening_c),
                *(n.hours_below[k] for k in keys),
                *(n.regime_weight, n.regime_spread, n.kind, n.wind_m_s),
                *(n.counts, n.known),
            )
            for n in result.nights
        ],
        weather=result.weather,
    )
