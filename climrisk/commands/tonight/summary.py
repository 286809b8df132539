"""What is seen first of tonight: the short answer, with three facts beside it."""

from __future__ import annotations

from datetime import date

from climrisk.commands.tonight.evening_svg import evening_svg
from climrisk.commands.tonight.result import TonightResult
from climrisk.commands.tonight.text import tonight_answer
from climrisk.core.quantities import System, in_units, speed, temperature
from climrisk.core.typed_text import READER
from climrisk.render.display_units import day_in_words
from climrisk.render.summary import Summary, SummaryChart, summary


def tonight_summary(result: TonightResult, _: date) -> Summary:
    """Return tonight: the counts are the title, the spots are the chart."""
    day = date.fromisoformat(result.night.evening)
    return summary(
        tonight_answer(result),
        [_lowest(result), *_sky(result)],
        drawing=SummaryChart(
            "Lowest tonight, by spot", lambda viewer: evening_svg(result, viewer)
        ),
        lead=f"Night of {day:%A} {day_in_words(day)}. {_before_dark(result)}",
    )


def _before_dark(result: TonightResult) -> str:
    """Return until when to be done."""
    sunset = result.night.sunset
    return f"The sun sets at {sunset}; be done by then." if sunset else ""


def _lowest(result: TonightResult) -> str:
    """Return the lowest temperature in the reader's unit, and in the other one."""
    said = temperature(result.night.lowest_c, 0)
    first: System = READER.get().units
    other: System = "metric" if first == "us" else "us"
    return f"{in_units(said, first)} ({in_units(said, other)})"


def _sky(result: TonightResult) -> list[str]:
    """Return what was understood of wind and sky, and what was assumed."""
    night = result.night
    parts = [night.words]
    if night.wind_m_s is not None:
        parts.append(f"wind {speed(night.wind_m_s)}")
    shown = ("wind", "cloud")
    parts += [f"{a.variable} assumed" for a in result.assumed if a.variable in shown]
    if result.forecast.kind != "words":
        parts.append(f"forecast for {result.forecast.place}")
    return parts
