"""What helps most, as words, page and files."""

from __future__ import annotations

from functools import partial

from climrisk.commands.remedies.chart import remedy_dots
from climrisk.commands.remedies.result import RemediesResult
from climrisk.commands.remedies.text import COSTS, HEADER, as_it_stands, row
from climrisk.core.ranges import Band
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of

WORDS = (
    "Days a year (24 hours each) that each remedy alone takes from the time in which "
    "the roots are colder than the plant prefers, free ones first: dot, median; line, "
    "8 chances in 10; open dot, no clear difference."
)


def remedies_sheet(result: RemediesResult) -> Page:
    """Return the ranked remedies as a page."""
    section = Section(
        f"{result.plant} {result.spot.at}",
        result.sentence,
        reasons=[as_it_stands(result)],
        figures=[Picture("remedies1", remedy_dots(result), WORDS)],
        tables=[
            Table(f"{words}, each alone", HEADER[1:], rows)
            for cost, words in COSTS.items()
            if (rows := [row(r)[1:] for r in result.remedies if r.cost == cost])
        ],
        beside=[f"as it is: {result.verdict}"],
    )
    return page_of(
        result,
        f"What helps most: {result.plant}",
        f"{result.spot.words}, {result.weather.source}",
        [section],
    )


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
        sheet=partial(remedies_sheet, result),
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
