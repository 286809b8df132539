"""What to do with a new plant, as words for a terminal and as a page."""

from __future__ import annotations

from climrisk.report.assess_text import percent, span
from climrisk.report.page import Page, Section, Table, render, weather_footer
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.arrive import ArriveResult, SpanInfo

WEEK_HEADER = ("week from", "low °C", "middle °C", "high °C")
SPAN_HEADER = (
    "",
    "from",
    "to",
    "years with a harmful night",
    "nights too cold",
    "lowest °C",
    "days too hot",
)


def arrive_text(result: ArriveResult) -> str:
    """Return the answer: sentence, weeks, aftercare, cautions."""
    parts = [
        result.sentence,
        table(SPAN_HEADER, span_rows(result)),
        "Night minima of past years at the spot, 8 nights in 10 between low and high:\n"
        + table(WEEK_HEADER, week_rows(result)),
        "\n".join(f"- {c.words} ({c.basis})." for c in result.aftercare),
    ]
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def span_rows(result: ArriveResult) -> list[tuple[str, ...]]:
    """Return the coming weeks, and those after holding."""
    rows = [_row("now", result.coming)]
    if result.after_holding is not None:
        rows.append(_row("after holding", result.after_holding))
    return rows


def _row(name: str, told: SpanInfo) -> tuple[str, ...]:
    return (
        name,
        told.first,
        told.last,
        f"{percent(told.share_with_harmful_night)} of {told.years}",
        span(told.cold_nights, 0),
        span(told.lowest_c, 1),
        span(told.hot_days, 0),
    )


def week_rows(result: ArriveResult) -> list[tuple[object, ...]]:
    """Return the night minima of each coming week; unknown as a question mark."""
    return [
        (w.first, *("?" if v is None else v for v in (w.low_c, w.mid_c, w.high_c)))
        for w in result.by_week
    ]


def arrive_sheet(result: ArriveResult) -> Page:
    """Return the answer as a page."""
    section = Section(
        f"{result.plant.name}, arriving {result.as_of}",
        result.sentence,
        "put out now" if result.put_out_now else "hold indoors",
        [f"{c.words} ({c.basis})" for c in result.aftercare],
        beside=[f"over the whole year this spot: {result.verdict}"],
        tables=[
            Table(
                f"{result.weeks} weeks {result.spot.at}, in past years",
                SPAN_HEADER,
                span_rows(result),
            ),
            Table("Night minima of the coming weeks", WEEK_HEADER, week_rows(result)),
        ],
    )
    return Page(
        f"A new plant: {result.plant.name}",
        f"{result.spot.words}, {result.weather.source}",
        [section],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def arrive_page(result: ArriveResult) -> str:
    """Return the answer as a page in one file."""
    return render(arrive_sheet(result))
