"""Page, chart and table of an assessment."""

from __future__ import annotations

from datetime import date
from functools import partial

from climrisk.commands.assess.chart import strips_together, year_strip
from climrisk.commands.assess.page import assess_page, several_page
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.assess.several_result import AssessSeveral
from climrisk.commands.assess.several_text import HEADER, several_row
from climrisk.core.calendar import today_here
from climrisk.render.exports import Exports


def exports(result: AssessResult, today: date | None = None) -> Exports:
    """Return page, chart and table of an assessment."""
    return Exports(
        page=partial(assess_page, result, today or today_here()),
        figure=partial(year_strip, result),
        title=f"{result.plant.name} {result.spot.at}: {result.verdict.word}",
        words="",
        header=["week_from", "low_c", "mid_c", "high_c", "coldest_c"],
        rows=lambda: [
            (w.starts, w.low_c, w.mid_c, w.high_c, w.coldest_c)
            for w in result.year_strip
        ],
        weather=result.weather,
    )


def several_exports(result: AssessSeveral) -> Exports:
    """Return page, chart and table of answers side by side."""
    return Exports(
        page=partial(several_page, result),
        figure=partial(strips_together, result),
        title=f"{result.asked}: {result.question}",
        words="",
        header=list(HEADER),
        rows=lambda: [several_row(c) for c in result.choices],
        weather=result.weather,
    )
