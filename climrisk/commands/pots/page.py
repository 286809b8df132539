"""The page of pots and media compared."""

from __future__ import annotations

from functools import partial

from climrisk.commands.pots.chart import pots_dots
from climrisk.commands.pots.result import SEASONS, PotsResult
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
from climrisk.commands.shared.verdict_text import of_plant
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of

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
    return page_of(
        result,
        f"Pots compared: {result.spot}",
        result.weather.source,
        [section],
    )


def exports(result: PotsResult) -> Exports:
    """Return page, chart and table of a comparison of pots."""
    limits = list(result.pots[0].hours_below)
    return Exports(
        sheet=partial(pots_sheet, result),
        figure=partial(pots_dots, result),
        title=f"{of_plant(result.plant)}Roots on winter nights {result.spot_at}",
        words=POTS_WORDS,
        header=[
            *("pot", "medium", "diameter_cm", "time_constant_h"),
            *("daily_amplitude_ratio", "daily_lag_h", "warmer_k", "warmer_low_k"),
            *("warmer_high_k", "differs", "lowest_c"),
            *(f"hours_below_{limit}" for limit in limits),
            *(f"dry_after_d_{season}" for season in SEASONS),
            "wet_and_cold_hours_per_year",
        ],
        rows=lambda: [
            (
                *(p.pot, p.medium, p.diameter_cm, p.time_constant_h),
                *(p.daily_amplitude_ratio, p.daily_lag_h, p.warmer_k.mid),
                *(p.warmer_k.low, p.warmer_k.high, p.differs, p.lowest_c.mid),
                *(p.hours_below[limit].mid for limit in limits),
                *(p.dry_after_d[season].mid for season in SEASONS),
                None
                if p.wet_and_cold_hours_per_year is None
                else p.wet_and_cold_hours_per_year.mid,
            )
            for p in result.pots
        ],
        weather=result.weather,
    )
