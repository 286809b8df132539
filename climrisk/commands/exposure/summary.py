"""What is seen first of a record: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.exposure.result import ExposureResult
from climrisk.commands.exposure.text import exposure_answer
from climrisk.core import quantities
from climrisk.core.calendar import YEAR_H
from climrisk.core.typed_text import Viewer
from climrisk.render.answer import day_of
from climrisk.render.charts.month_bars import MonthBars, month_bars_html
from climrisk.render.summary import Summary, SummaryChart, Tile, summary


def exposure_summary(result: ExposureResult, _: date) -> Summary:
    """Return how good a record is."""
    weather = result.weather
    first, last = int(weather.first[:4]), int(weather.last[:4])
    tiles = [
        Tile("Hours known", f"{100 * weather.coverage_frac:.0f} %", "of the record"),
        Tile(
            "Lowest",
            quantities.temperature(result.lowest_c, 1),
            day_of(result.lowest_at),
        ),
        Tile("Years", f"{max(1, last - first)}", f"{first} to {last}"),
    ]
    return summary(
        exposure_answer(result),
        [weather.source],
        tiles=tiles,
        drawing=SummaryChart(
            "Cold hours of a usual year, by month",
            lambda viewer: _months_html(result, viewer),
        ),
    )


def _months_html(result: ExposureResult, viewer: Viewer) -> str:
    """Return the hours below each threshold by month, an average year's."""
    years = max(1.0, result.weather.hours_expected / YEAR_H)
    series = [
        MonthBars(
            viewer.text(f"hours below {quantities.temperature(row.threshold_c)}"),
            {m: hours / years for m, hours in row.by_month.items()},
        )
        for row in sorted(result.below, key=lambda r: -r.threshold_c)
    ]
    first = int(next(iter(result.below[0].by_month))) if result.below else 7
    return month_bars_html(series[:3], first) if series else ""
