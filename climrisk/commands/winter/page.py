"""The page of a winter exposure."""

from __future__ import annotations

from functools import partial

from climrisk.commands.shared.verdict_text import of_plant
from climrisk.commands.winter.chart import winter_ladder, winters_bar
from climrisk.commands.winter.result import WinterResult
from climrisk.core.quantities import DEGREES, SPEED
from climrisk.render.display_units import temperature, unit
from climrisk.render.exports import Exports
from climrisk.render.page import Page, Picture, Section, Table, page_of
from climrisk.render.text import or_unknown, span


def winter_section(result: WinterResult, number: int) -> Section:
    """Return the section of a winter: ladder, all winters, nights as a table."""
    keys = [f"{t.threshold_c:g}" for t in result.thresholds]
    sums = Table(
        "Winters that count (November to March, or May to September)",
        [
            f"below {DEGREES}",
            "",
            "hours a winter",
            "nights a winter",
            "longest run of any, nights",
        ],
        [
            (
                f"{t.threshold_c:g}",
                t.words,
                span(t.hours_per_winter, 0),
                span(t.nights_per_winter, 0),
                t.longest_run_nights,
            )
            for t in result.thresholds
        ],
    )
    nights = Table(
        f"All nights of winter {result.shown}",
        [
            "evening",
            f"lowest {DEGREES}",
            f"evening {DEGREES}",
            *(f"h below {k}" for k in keys),
            "kind",
            "clear and calm, 1 is fully so",
            f"wind {unit(SPEED)}",
            "known",
        ],
        [
            (
                n.evening,
                or_unknown(n.lowest_c),
                or_unknown(n.evening_c),
                *(n.hours_below[k] if n.lowest_c is not None else "?" for k in keys),
                n.kind,
                f"{n.regime_weight:.2f} ± {n.regime_spread:.2f}",
                or_unknown(n.wind_m_s),
                n.known + ("" if n.counts else ", does not count"),
            )
            for n in result.nights
        ],
        folded=True,
    )
    winters = Table(
        "All winters",
        [
            "winter",
            f"coldest {DEGREES}",
            "on the night of",
            *(f"nights below {k}" for k in keys),
            "unknown nights",
        ],
        [
            (
                w.label + ("" if w.counts else " (does not count)"),
                or_unknown(w.lowest_c),
                w.lowest_evening or "?",
                *(w.cold_nights[k] for k in keys),
                w.unknown_nights,
            )
            for w in result.winters
        ],
        folded=True,
    )
    return Section(
        f"Winter {result.shown} {result.spot_at}",
        result.sentence,
        reasons=[] if result.drift is None else [result.drift.words],
        figures=[
            Picture(
                f"ladder{number}",
                winter_ladder(result),
                "One bar a night, from its lowest to its evening temperature; the "
                f"more hours below {temperature(float(keys[0]))}, the stronger its "
                "color; plain when "
                "clear and calm, striped when windy or cloudy, dotted between; gray "
                "where unknown.",
            ),
            Picture(
                f"winters{number}",
                winters_bar(result),
                f"Nights below {temperature(float(keys[0]))} in each winter, and its "
                "coldest night.",
            ),
        ],
        tables=[sums, winters, nights],
    )


def winter_sheet(result: WinterResult) -> Page:
    """Return the winter exposure of a spot as a page."""
    return page_of(
        result,
        f"Winter exposure: {result.spot}",
        result.weather.source,
        [winter_section(result, 1)],
    )


_LADDER = (
    "A bar runs from a night's lowest to its evening temperature; the more "
    "hours below the first limit, the stronger its color; plain on clear calm "
    "nights, striped on windy or cloudy ones."
)


def exports(result: WinterResult) -> Exports:
    """Return page, chart and table of a winter."""
    keys = [f"{t.threshold_c:g}" for t in result.thresholds]
    return Exports(
        sheet=partial(winter_sheet, result),
        figure=partial(winter_ladder, result),
        title=f"{of_plant(result.plant)}Winter {result.shown} {result.spot_at}, night "
        "by night",
        words=_LADDER,
        header=[
            *("evening", "lowest_c", "low_c", "high_c", "evening_c"),
            *(f"hours_below_{k}" for k in keys),
            *("regime_weight", "regime_spread", "kind", "wind_m_s"),
            *("counts", "known"),
        ],
        rows=lambda: [
            (
                *(n.evening, n.lowest_c, n.low_c, n.high_c, n.evening_c),
                *(n.hours_below[k] for k in keys),
                *(n.regime_weight, n.regime_spread, n.kind, n.wind_m_s),
                *(n.counts, n.known),
            )
            for n in result.nights
        ],
        weather=result.weather,
    )
