"""What is seen first of a record: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.exposure.result import ExposureResult
from climrisk.commands.exposure.text import exposure_answer
from climrisk.render.answer import day_of
from climrisk.render.summary import Summary, Tile, summary


def exposure_summary(result: ExposureResult, _: date) -> Summary:
    """Return how good a record is."""
    weather = result.weather
    first, last = int(weather.first[:4]), int(weather.last[:4])
    tiles = [
        Tile("Hours known", f"{100 * weather.coverage_frac:.0f} %", "of the record"),
        Tile("Lowest", f"{result.lowest_c:.1f} °C", day_of(result.lowest_at)),
        Tile("Years", f"{max(1, last - first)}", f"{first} to {last}"),
    ]
    return summary(exposure_answer(result), [weather.source], tiles=tiles)
