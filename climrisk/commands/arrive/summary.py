"""What is seen first of a new plant: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.arrive.result import ArriveResult
from climrisk.commands.arrive.text import arrive_answer
from climrisk.commands.shared.facts import (
    bare_spot,
    day_words,
    range_words,
    temperature,
)
from climrisk.core.days import day_in_words
from climrisk.core.typed_text import Viewer
from climrisk.core.wording import plural
from climrisk.render.charts.ranges import RangeRow, ranges_html
from climrisk.render.summary import Summary, SummaryChart, Tile, summary


def arrive_summary(result: ArriveResult, _: date) -> Summary:
    """Return whether a new plant may go to its place, and until when."""
    lowest = result.coming.lowest_c
    out = "now" if result.put_out_now else day_words(result.hold_until)
    out = out if result.put_out_now or result.hold_until else "not yet"
    until = day_words(result.stays_until) if result.stays_until else "no date"
    tiles = [
        Tile("May go out", out, bare_spot(result.spot.words)),
        Tile("Can stay until", until, "then it comes in" if result.stays_until else ""),
        Tile(
            f"Coldest in {plural(result.weeks, 'week')}",
            temperature(lowest),
            range_words(lowest),
        ),
    ]
    understood = [
        result.plant.name,
        bare_spot(result.spot.words),
        f"{result.weeks} weeks ahead",
    ]
    return summary(
        arrive_answer(result),
        understood,
        tiles=tiles,
        drawing=SummaryChart(
            f"Nights of the next {plural(result.weeks, 'week')} in past years",
            lambda viewer: _weeks_html(result, viewer),
        ),
    )


def _weeks_html(result: ArriveResult, viewer: Viewer) -> str:
    """Return the night minima of the coming weeks beside the plant's two limits."""
    limits = [result.preferred_c, result.tolerated_c]
    rows = [
        RangeRow(
            f"from {_brief(w.first, viewer)}", "", w.low_c, w.mid_c, w.high_c, limits
        )
        for w in result.by_week
        if w.low_c is not None and w.mid_c is not None and w.high_c is not None
    ]
    return ranges_html(
        rows,
        viewer,
        bar="lowest of the night, 8 nights in 10",
        mark="prefers, tolerates",
    )


def _brief(iso: str, viewer: Viewer) -> str:
    return viewer.text(day_in_words(iso, year=False, brief=True))
