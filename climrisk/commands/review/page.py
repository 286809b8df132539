"""A winter looked back on, as a page and as files."""

from __future__ import annotations

from functools import partial

from climrisk.commands.review.chart import review_nights
from climrisk.commands.review.result import ReviewResult
from climrisk.commands.review.text import (
    BELOW_HEADER,
    BIAS_HEADER,
    NIGHT_HEADER,
    OFFSET_HEADER,
    PLANT_HEADER,
    WINTER_HEADER,
    below_rows,
    bias_rows,
    night_row,
    offset_rows,
    plant_rows,
    winter_rows,
)
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of

WORDS = (
    "Line: the model's middle; shaded: 8 chances in 10; dashed: the limits the "
    "plants are judged by.\nMarks: the logger, round on clear calm nights, a triangle "
    "on windy or cloudy ones, a diamond between."
)


def review_sheet(result: ReviewResult) -> Page:
    """Return a winter looked back on as a page."""
    tables = []
    if result.plants:
        caption = "Plants, the nearest to the edge first"
        tables.append(Table(caption, PLANT_HEADER, plant_rows(result)))
    if result.bias_unknown_because is None:
        tables.append(Table("Logger and model", BIAS_HEADER, bias_rows(result)))
    if result.offsets:
        tables.append(Table("Offsets", OFFSET_HEADER, offset_rows(result)))
    coldest = [night_row(n) for n in result.coldest]
    tables += [
        Table("The winter", BELOW_HEADER, below_rows(result)),
        Table("The coldest nights", NIGHT_HEADER, coldest),
        Table(
            "All winters, the coldest on average first",
            WINTER_HEADER,
            winter_rows(result),
            folded=True,
        ),
        Table(
            "Every night",
            NIGHT_HEADER,
            [night_row(n) for n in result.nights],
            folded=True,
        ),
    ]
    unknown = [
        f"No {what}: {because}"
        for what, because in (
            ("bias", result.bias_unknown_because),
            ("rank", result.rank_unknown_because),
        )
        if because
    ]
    section = Section(
        f"Winter {result.shown}, {result.spot}",
        result.sentence,
        reasons=[
            *result.notes,
            *(p.sentence for p in result.plants),
            *unknown,
        ],
        figures=[Picture("review1", review_nights(result), WORDS)],
        tables=tables,
    )
    by = "" if result.logger is None else f"{result.logger} against "
    return page_of(
        result,
        f"Looking back: winter {result.shown}",
        f"{result.home}; {by}{result.weather.source}",
        [section],
    )


def exports(result: ReviewResult) -> Exports:
    """Return page, chart and table of the result."""
    return Exports(
        sheet=partial(review_sheet, result),
        figure=partial(review_nights, result),
        title=f"Winter {result.shown}, {result.spot}, night by night",
        words=WORDS,
        header=[
            *("evening", "logger_c", "model_low_c", "model_c", "model_high_c"),
            *("regime_weight", "kind", "difference_k"),
        ],
        rows=lambda: [
            (
                *(n.evening, n.logger_c, n.model_low_c, n.model_c, n.model_high_c),
                *(n.regime_weight, n.kind, n.difference_k),
            )
            for n in result.nights
        ],
        weather=result.weather,
    )
