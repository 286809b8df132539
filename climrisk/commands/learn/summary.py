"""What is seen first of a calibration: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.learn.result import LearnResult
from climrisk.commands.learn.text import learn_answer
from climrisk.commands.shared.facts import UNKNOWN
from climrisk.core import quantities
from climrisk.render.answer import day_of
from climrisk.render.summary import Summary, Tile, summary


def learn_summary(result: LearnResult, _: date) -> Summary:
    """Return how a spot differs from its station."""
    after, before = result.error_after_k, result.error_before_k
    calm, windy = (
        quantities.difference(k, 1, signed=True)
        for k in (result.offset_still_k, result.offset_windy_k)
    )
    tiles = [
        Tile("On calm nights", calm, "against the station"),
        Tile("On windy nights", windy, "against the station"),
        Tile(
            "Predicted to within",
            UNKNOWN if after is None else f"±{quantities.difference(after, 1)}",
            "" if before is None else f"±{quantities.difference(before, 1)} before",
        ),
    ]
    days = f"{day_of(result.first)} to {day_of(result.last)}"
    answer = learn_answer(result)
    warmer = answer.headline.rpartition(": ")[2]
    title = warmer[:1].upper() + warmer[1:]
    return summary(
        answer, [result.spot.replace("-", " "), days], tiles=tiles, title=title
    )
