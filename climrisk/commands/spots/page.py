"""Spots ranked, as a page and as files."""

from __future__ import annotations

from functools import partial

from climrisk.commands.shared.verdict_text import verdict_cell
from climrisk.commands.spots.chart import spots_dots
from climrisk.commands.spots.result import SpotsResult
from climrisk.commands.spots.text import (
    AROUND,
    NIGHTS,
    air_header,
    air_rows,
    around_rows,
    cold_cells,
    night_rows,
)
from climrisk.core.quantities import DEGREES
from climrisk.render.display_units import temperature
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of

WORDS = (
    "Circle: clear calm nights; triangle: windy or cloudy ones; the line holds 8 "
    "chances in 10; open square: roots in the pot."
)


def spots_sheet(result: SpotsResult) -> Page:
    """Return spots ranked as a page."""
    tables = [
        Table(
            "The spots, the best first",
            [
                *("spot", "verdict"),
                f"harmful nights a year (below {temperature(result.tolerated_c)})",
                f"hours a year below {temperature(result.preferred_c)}",
                *("hours a year too hot", f"coldest, {DEGREES}"),
            ],
            [
                (f"{r.rank}. {r.spot}", verdict_cell(r.word, r.may_be), *cells)
                for r, cells in zip(result.spots, cold_cells(result), strict=True)
            ],
        )
    ]
    tables.append(
        Table("Dry air, light and wind", air_header(result), air_rows(result))
    )
    tables.append(Table("Clear calm and windy nights", NIGHTS, night_rows(result)))
    around = around_rows(result)
    if around:
        title = "What the surroundings add to roots on winter nights"
        tables.append(Table(title, AROUND, around))
    section = Section(
        f"Spots for {result.plant}",
        result.sentence,
        reasons=[f"{r.spot}: {r.why}; {r.reason}" for r in result.spots],
        figures=[Picture("spots1", spots_dots(result), WORDS)],
        tables=tables,
    )
    return page_of(
        result,
        f"Spots for {result.plant}",
        f"{result.pot}; {result.weather.source}",
        [section],
    )


def exports(result: SpotsResult) -> Exports:
    """Return page, chart and table of the result."""
    return Exports(
        sheet=partial(spots_sheet, result),
        figure=partial(spots_dots, result),
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
