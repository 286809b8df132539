"""What is seen first of the spots: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.shared.facts import count, temperature
from climrisk.commands.spots.result import SpotsResult
from climrisk.commands.spots.text import spots_answer
from climrisk.core.wording import plural
from climrisk.render.summary import Summary, Tile, summary


def spots_summary(result: SpotsResult, _: date) -> Summary:
    """Return the best spot and how cold it gets there."""
    best = result.spots[0]
    good = ("suits", "suits with moves")
    suited = sum(r.word in good for r in result.spots)
    word = best.word if best.word not in ("poor match", "cannot say") else ""
    tiles = [
        Tile("Spots that suit", f"{suited} of {len(result.spots)}", "all year"),
        Tile("Coldest at the best", temperature(best.lowest_c), best.spot),
        Tile("Harmful nights there", count(best.harmful_nights), "in a usual year"),
    ]
    return summary(
        spots_answer(result),
        [result.plant, plural(len(result.spots), "spot"), result.pot.replace("-", " ")],
        word=word,
        tiles=tiles,
    )
