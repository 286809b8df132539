"""What is seen first of the pots: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.pots.result import PotRow, PotsResult
from climrisk.commands.pots.text import pots_answer, short_pot
from climrisk.commands.shared.facts import UNKNOWN, middle_or_last, temperature
from climrisk.core.wording import plural
from climrisk.render.summary import Summary, Tile, summary


def pots_summary(result: PotsResult, _: date) -> Summary:
    """Return which pot keeps roots warmest, and which dries first."""
    warm, cold = result.pots[0], result.pots[-1]
    dry = min(result.pots, key=lambda r: middle_or_last(r.dry_after_d["winter"].mid))
    tiles = [
        Tile("Warmest roots", temperature(warm.lowest_c), _named(warm, result)),
        Tile("Coldest roots", temperature(cold.lowest_c), _named(cold, result)),
        Tile("First dry, winter", _days(dry), _named(dry, result)),
    ]
    spot = result.spot.replace("-", " ")
    understood = [plural(len(result.pots), "pot"), spot, result.plant or ""]
    return summary(pots_answer(result), understood, tiles=tiles)


def _named(pot: PotRow, result: PotsResult) -> str:
    return short_pot(pot, result) or pot.medium


def _days(pot: PotRow) -> str:
    days = pot.dry_after_d["winter"].mid
    return UNKNOWN if days is None else plural(days, "day")
