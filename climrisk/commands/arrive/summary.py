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
from climrisk.core.wording import plural
from climrisk.render.summary import Summary, Tile, summary


def arrive_summary(result: ArriveResult, _: date) -> Summary:
    """Return whether a new plant may go to its place, and until when."""
    lowest = result.coming.lowest_c
    out = "now" if result.put_out_now else day_words(result.hold_until)
    tiles = [
        Tile("May go out", out, bare_spot(result.spot.words)),
        Tile("Can stay until", day_words(result.stays_until), "then it comes in"),
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
    return summary(arrive_answer(result), understood, tiles=tiles)
