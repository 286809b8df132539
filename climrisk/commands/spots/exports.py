"""Page, chart and table of spots ranked."""

from __future__ import annotations

from climrisk.commands.spots.chart import spots_dots
from climrisk.commands.spots.page import WORDS, spots_sheet
from climrisk.commands.spots.result import SpotsResult
from climrisk.render.display_units import temperature
from climrisk.render.exports import Exports
from climrisk.render.page import render


def exports(result: SpotsResult) -> Exports:
    """Return page, chart and table of the result."""
    return Exports(
        page=lambda: render(spots_sheet(result)),
        figure=lambda: spots_dots(result),
        title=f"Spots for {result.plant}, {temperature(result.preferred_c)}",
        words=WORDS,
        header=[
            *("rank", "spot", "kind", "verdict", "harmful_nights"),
            "hours_below_preferred",
            *("still_hours", "windy_hours", "lowest_c", "wind_share"),
        ],
        rows=lambda: [
            (
                *(r.rank, r.spot, r.kind, r.word, r.harmful_nights.mid),
                r.hours_below_preferred.mid,
                r.still_nights.hours_below_preferred.mid,
                r.windy_nights.hours_below_preferred.mid,
                *(r.lowest_c.mid, r.wind_share),
            )
            for r in result.spots
        ],
        weather=result.weather,
    )
