"""What to do with a new plant, as words for a terminal and as a page."""

from __future__ import annotations

from climrisk.commands.arrive.result import ArriveResult, SpanInfo
from climrisk.commands.shared.dates_text import read_as_lines
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.core.wording import one_in
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, day_of
from climrisk.render.display_units import number, temperature
from climrisk.render.tables import table
from climrisk.render.text import percent, span, weather_text

WEEK_HEADER = ("week from", f"low {DEGREES}", f"middle {DEGREES}", f"high {DEGREES}")
SPAN_HEADER = (
    "",
    "from",
    "to",
    "years with a harmful night",
    "nights too cold",
    f"lowest {DEGREES}",
    "days too hot",
)


def arrive_answer(result: ArriveResult) -> Answer:
    """Return where the plant goes now and until when, why, and its aftercare."""
    name = short_name(result.plant.name)
    at, until = result.spot.at, result.stays_until
    if result.put_out_now:
        headline = f"Put the {name} {at} now"
        headline += f"; it can stay until {day_of(until)}." if until else "."
    elif result.hold_until is None:
        where = result.hold_where or "indoors"
        headline = f"Keep the {name} indoors ({where}): that spot has no good weeks."
    else:
        where = result.hold_where or "indoors"
        headline = (
            f"Keep the {name} indoors ({where}) until {day_of(result.hold_until)}."
        )
    lead = [*read_as_lines(result.plant), f"Why: {result.why}."]
    if not result.put_out_now and result.hold_until is not None:
        end = f" until {day_of(until)}" if until else ""
        lead.append(f"Then it can stand {at}{end}.")
    if result.hold_where_serves is False and result.hold_where_why:
        lead.append(f"Even there: {result.hold_where_why}.")
    rows = [
        (words, _weeks(span))
        for words, span in (("now", result.coming), ("then", result.after_holding))
        if span is not None
    ]
    parts: list[Part] = [
        Words(" ".join(lead)),
        Rows(rows, rank=1, least=2),
        Words(f"For a whole year this spot: {result.verdict}.", rank=1),
        Rows([(c.words,) for c in result.aftercare], rank=2, least=2, what="more hint"),
    ]
    return Answer(
        headline, parts, "week by week, aftercare", result.cautions, result.files
    )


def _weeks(span: SpanInfo) -> str:
    """Return some weeks of past years in a line."""
    share, lowest = span.share_with_harmful_night, span.lowest_c
    days = f"{day_of(span.first)} to {day_of(span.last)}"
    if share is None or lowest is None or lowest.mid is None:
        return f"{days}: too few years to say"
    return (
        f"{days}: a harmful night in {_years(share)}; coldest night most "
        f"likely {number(TEMPERATURE, lowest.low, 0)} to {temperature(lowest.high, 0)}"
    )


def arrive_text(result: ArriveResult) -> str:
    """Return in full the answer: sentence, weeks, aftercare, cautions."""
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


def _row(name: str, weeks: SpanInfo) -> tuple[str, ...]:
    return (
        name,
        weeks.first,
        weeks.last,
        f"{percent(weeks.share_with_harmful_night)} of {weeks.years}",
        span(weeks.cold_nights, 0),
        span(weeks.lowest_c, 1, TEMPERATURE),
        span(weeks.hot_days, 0),
    )


def week_rows(result: ArriveResult) -> list[tuple[object, ...]]:
    """Return the night minima of each coming week; unknown as a question mark."""
    return [
        (
            w.first,
            *(
                "?" if v is None else number(TEMPERATURE, v, 1)
                for v in (w.low_c, w.mid_c, w.high_c)
            ),
        )
        for w in result.by_week
    ]


def _years(share: float) -> str:
    """Return a share of years in words."""
    if share >= _NEARLY_ALL:
        return "nearly every year"
    if share > 0.5:
        return f"{percent(share)} of years"
    return one_in(share) if share > 0 else "no year on record"


#: Shares of years from which on they are nearly all.
_NEARLY_ALL = 0.95
