"""Spots ranked, as a page and as files."""

from __future__ import annotations

from typing import Unpack

from climrisk.commands.shared.home_tables import verdict_cell
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
from climrisk.render.exports import Asked, Faces
from climrisk.render.page import Page, Picture, Section, Table, render, weather_footer

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
                f"harmful nights a year (below {result.tolerated_c:g} °C)",
                f"hours a year below {result.preferred_c:g} °C",
                *("hours a year too hot", "coldest, °C"),
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
    return Page(
        f"Spots for {result.plant}",
        f"{result.pot}; {result.weather.source}",
        [section],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def spots_files(result: SpotsResult, **asked: Unpack[Asked]) -> list[str]:
    """Write the asked files of a ranking and return their paths."""
    return Faces(
        page=lambda: render(spots_sheet(result)),
        figure=lambda: spots_dots(result),
        title=f"Spots for {result.plant}, {result.preferred_c:g} °C",
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
    ).write(asked)
