"""The page of pots and media compared."""

from __future__ import annotations

from climrisk.commands.pots.chart import pots_dots
from climrisk.commands.pots.result import PotsResult
from climrisk.commands.pots.text import (
    CHOICE_HEADER,
    NIGHT_HEADER,
    choice,
    header,
    night_rows,
    row,
    water_lines,
    why,
)
from climrisk.render.page import Page, Picture, Section, Table, render, weather_footer

POTS_WORDS = (
    "Dot: median; line: 8 chances in 10, by what is not known of the spot and the pot; "
    "open dot: no clear difference; square: the reference pot."
)


def pots_sheet(result: PotsResult) -> Page:
    """Return pots and media compared as a page."""
    section = Section(
        f"Pots and media {result.spot_at}",
        result.sentence,
        reasons=[*water_lines(result), *why(result)],
        figures=[Picture("pots1", pots_dots(result), POTS_WORDS)],
        tables=[
            Table("What to choose by", CHOICE_HEADER, [choice(r) for r in result.pots]),
            Table("The pots", header(result), [row(r) for r in result.pots]),
            Table(
                "The coldest calm and windy nights",
                NIGHT_HEADER,
                night_rows(result),
            ),
        ],
    )
    return Page(
        f"Pots compared: {result.spot}",
        result.weather.source,
        [section],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def pots_page(result: PotsResult) -> str:
    """Return pots and media compared as a page in one file."""
    return render(pots_sheet(result))
