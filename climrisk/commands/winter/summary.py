"""What is seen first of a winter: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.shared.facts import UNKNOWN, bare_spot
from climrisk.commands.winter.result import WinterResult
from climrisk.commands.winter.text import windy_nights, winter_answer
from climrisk.core import quantities
from climrisk.core.wording import plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import day_of
from climrisk.render.summary import Summary, Tile, summary


def winter_summary(result: WinterResult, _: date) -> Summary:
    """Return how cold a winter was."""
    shown = next((w for w in result.winters if w.label == result.shown), None)
    tiles: list[Tile] = []
    if shown is not None and result.thresholds:
        threshold = result.thresholds[0].threshold_c
        key, limit = f"{threshold:g}", quantities.temperature(threshold)
        nights, hours = shown.cold_nights[key], shown.hours_below[key]
        when = shown.lowest_evening
        tiles = [
            Tile(
                f"Nights below {limit}", f"{nights}", f"of {len(result.nights)} nights"
            ),
            Tile(
                f"Hours below {limit}",
                f"{hours:,.0f}",
                f"about {plural(hours / 24, 'day')}",
            ),
            Tile(
                "Coldest night",
                UNKNOWN
                if shown.lowest_c is None
                else quantities.temperature(shown.lowest_c, 1),
                "" if when is None else day_of(when),
            ),
        ]
    plant = "" if result.plant is None else short_name(result.plant)
    understood = [f"winter {result.shown}", bare_spot(result.spot_words), plant]
    # The tiles have the nights, hours and the coldest night.
    lead = windy_nights(result) if tiles else ""
    return summary(winter_answer(result), understood, tiles=tiles, lead=lead)
