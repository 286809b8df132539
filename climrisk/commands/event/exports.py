"""Page, chart and table of a cold event."""

from __future__ import annotations

from climrisk.commands.event.chart import event_hours
from climrisk.commands.event.page import WORDS, event_page
from climrisk.commands.event.result import EventResult
from climrisk.core.wording import day_words
from climrisk.render.exports import Exports


def exports(result: EventResult) -> Exports:
    """Return page, chart and table of an event; told in words it has only a page."""
    return Exports(
        page=lambda: event_page(result),
        figure=lambda: event_hours(result),
        title=f"{day_words(result.told.first)} to {day_words(result.told.last)}",
        words=WORDS,
        header=["spot", "at", "low_c", "mid_c", "high_c"],
        rows=lambda: [(h.spot, h.at, h.low_c, h.mid_c, h.high_c) for h in result.hours],
        weather=result.weather,
    )
