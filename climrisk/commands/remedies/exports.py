"""Page, chart and table of remedies ranked."""

from __future__ import annotations

from functools import partial

from climrisk.commands.remedies.chart import remedy_dots
from climrisk.commands.remedies.result import RemediesResult
from climrisk.commands.remedies.text import WORDS, remedies_page
from climrisk.core.ranges import Band
from climrisk.render.exports import Exports


def exports(result: RemediesResult) -> Exports:
    """Return page, chart and table of the result."""

    def rows() -> list[tuple[object, ...]]:
        out: list[tuple[object, ...]] = []
        for r in result.remedies:
            saved = r.saved_per_year or Band(None, None, None)
            roots = r.root_hours_per_year or Band(None, None, None)
            air = r.air_hours_per_year or Band(None, None, None)
            hours = (saved.low, saved.mid, saved.high, roots.mid, air.mid)
            night = r.warmer_by_night_k or Band(None, None, None)
            more = (night.mid, r.words, r.basis)
            out.append((r.kind, r.cost, r.name, *hours, *more))
        return out

    return Exports(
        page=partial(remedies_page, result),
        figure=partial(remedy_dots, result),
        title=f"What helps {result.plant} most {result.spot.at}",
        words=WORDS,
        header=[
            *("kind", "cost", "remedy", "saved_low_h", "saved_mid_h", "saved_high_h"),
            *("root_hours_per_year", "air_hours_per_year", "warmer_by_night_k"),
            *("words", "basis"),
        ],
        rows=rows,
        weather=result.weather,
    )
