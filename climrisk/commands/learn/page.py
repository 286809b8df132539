"""What a logger taught, as a page and as files."""

from __future__ import annotations

from functools import partial

from climrisk.commands.learn.chart import lesson_dots
from climrisk.commands.learn.result import LearnResult
from climrisk.commands.learn.text import HEADER, offset_rows
from climrisk.core.quantities import DEGREES_APART
from climrisk.render.display_units import day
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of

WORDS = (
    "A mark a night. Dashed: what was believed of such a spot; full: what was learned; "
    "shaded: nine tenths of what is believed now."
)


def learn_sheet(result: LearnResult) -> Page:
    """Return what a logger taught as a page."""
    nights = Table(
        "Every night",
        [
            "evening",
            "regime",
            f"spot minus station, {DEGREES_APART}",
            f"learned, {DEGREES_APART}",
        ],
        [
            (n.evening, n.kind, f"{n.difference_k:+.1f}", f"{n.foretold_k:+.1f}")
            for n in result.nights
        ],
        folded=True,
    )
    section = Section(
        f"{result.spot}: what the logger taught",
        result.sentence,
        reasons=result.notes,
        figures=[Picture("lesson1", lesson_dots(result), WORDS)],
        tables=[
            Table("Before and after", HEADER, offset_rows(result)),
            nights,
        ],
    )
    return page_of(
        result,
        f"Learned: {result.spot}",
        f"{result.logger} against {result.weather.source}, {day(result.first)} to "
        f"{day(result.last)}",
        [section],
    )


def exports(result: LearnResult) -> Exports:
    """Return page, chart and table of the result."""
    return Exports(
        sheet=partial(learn_sheet, result),
        figure=partial(lesson_dots, result),
        title=f"{result.spot} against {result.weather.source}, night by night",
        words=WORDS,
        header=["evening", "regime_weight", "kind", "difference_k", "foretold_k"],
        rows=lambda: [
            (n.evening, n.regime_weight, n.kind, n.difference_k, n.foretold_k)
            for n in result.nights
        ],
        weather=result.weather,
    )
