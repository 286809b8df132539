"""What is seen first of a review: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.review.result import ReviewResult
from climrisk.commands.review.text import review_answer
from climrisk.commands.shared.facts import UNKNOWN
from climrisk.core import quantities
from climrisk.render.answer import day_of
from climrisk.render.summary import Summary, Tile, summary


def review_summary(result: ReviewResult, _: date) -> Summary:
    """Return the winter looked back on."""
    rank = result.rank
    below = sum(p.count for p in result.plants if p.nights_below_tolerated)
    total = sum(p.count for p in result.plants)
    coldest = result.coldest[0] if result.coldest else None
    lowest = None
    if coldest is not None:
        lowest = coldest.logger_c if coldest.logger_c is not None else coldest.model_c
    tiles = [
        Tile(
            "Coldest night",
            UNKNOWN if lowest is None else quantities.temperature(lowest, 1),
            "" if coldest is None else day_of(coldest.evening),
        ),
        Tile(
            "Winters that were colder",
            UNKNOWN if rank is None else f"{rank.by_mean - 1} of {rank.winters - 1}",
            "on average",
        ),
        Tile(
            "Plants past their limit",
            f"{below} of {total}",
            "colder than they tolerate",
        ),
    ]
    understood = [f"winter {result.shown}", result.spot, result.home]
    return summary(review_answer(result), understood, tiles=tiles)
