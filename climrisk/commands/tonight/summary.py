"""What is seen first of tonight: the short answer, with three facts beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

from climrisk.commands.tonight.evening_svg import evening_svg
from climrisk.commands.tonight.result import TonightResult
from climrisk.commands.tonight.text import tonight_answer
from climrisk.render.display_units import Viewer
from climrisk.render.summary import Summary, summary


def tonight_summary(result: TonightResult, _: date) -> Summary:
    """Return tonight: the counts are the title, the spots are the chart."""
    day = date.fromisoformat(result.night.evening)
    return summary(
        tonight_answer(result),
        [lambda viewer: _lowest(result, viewer), *_sky(result)],
        draw=lambda viewer: evening_svg(result, viewer),
        chart_title="Lowest tonight, by spot",
        lead=f"Night of {day:%A} {day.day} {day:%B}; be done before dark.",
    )


def _lowest(result: TonightResult, viewer: Viewer) -> str:
    """Return the lowest temperature in the reader's unit, and in the other one."""
    lowest = result.night.lowest_c
    other = replace(viewer, unit="f" if viewer.unit == "c" else "c")
    both = [v.temperature(lowest, 0).replace("-", "−") for v in (viewer, other)]
    return f"{both[0]} ({both[1]})"


def _sky(result: TonightResult) -> list[str | Callable[[Viewer], str]]:
    """Return what was understood of wind and sky, and what was assumed."""
    night = result.night
    parts: list[str | Callable[[Viewer], str]] = [night.words]
    wind = night.wind_m_s
    if wind is not None:
        parts.append(lambda viewer: f"wind {viewer.speed(wind)}")
    shown = ("wind", "cloud")
    parts += [f"{a.variable} assumed" for a in result.assumed if a.variable in shown]
    if result.forecast.kind != "words":
        parts.append(f"forecast for {result.forecast.place}")
    return parts
