"""What is seen first of the remedies: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.remedies.result import RemediesResult
from climrisk.commands.remedies.text import remedies_answer
from climrisk.commands.shared.facts import UNKNOWN, bare_spot, middle, pot_words
from climrisk.core.wording import plural
from climrisk.render.summary import Summary, Tile, summary


def remedies_summary(result: RemediesResult, _: date) -> Summary:
    """Return what helps most for nothing, for little and by moving."""
    hours = result.root_hours_typical_year.mid
    now = UNKNOWN if hours is None else plural(hours / 24, "day")
    tiles = [Tile("Cold roots now", now, "in a usual year")]
    clear = [r for r in result.remedies if r.saved_per_year and r.clear is not False]
    for words, costs in (("Best cheap remedy", ("free", "cheap")), ("Best of all", ())):
        found = [r for r in clear if not costs or r.cost in costs]
        best = max(found, key=lambda r: middle(r.saved_per_year), default=None)
        saved = None if best is None else best.saved_per_year
        value = "nothing" if saved is None else f"−{plural(middle(saved) / 24, 'day')}"
        tiles.append(Tile(words, value, "" if best is None else best.name))
    understood = [result.plant, bare_spot(result.spot.words), *pot_words(result.pot)]
    answer = remedies_answer(result)
    # The question line names plant and spot already.
    cold = answer.headline.rpartition(": ")[2]
    title = cold[:1].upper() + cold[1:]
    return summary(answer, understood, tiles=tiles, title=title)
