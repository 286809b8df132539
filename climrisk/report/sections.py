"""Sections of a report, each from one result."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from climrisk.report import figures as draw
from climrisk.report.agenda import WORDS, load_lines
from climrisk.report.assess_text import (
    COLD_HEADER,
    EXTREME_HEADER,
    cold_rows,
    extreme_rows,
    night_rows,
    read_as_lines,
    risk_rows,
    span,
)
from climrisk.report.calendar_text import room, spoken, wish, words
from climrisk.report.evidence_tables import evidence_tables
from climrisk.report.light_text import (
    clock_rows,
    dry_header,
    dry_rows,
    light_header,
    light_lines,
    light_rows,
)
from climrisk.report.page import Picture, Section, Table
from climrisk.report.wind_text import (
    HELPS_HEADER,
    helps_rows,
    month_header,
    month_rows,
    wind_lines,
)
from climrisk.result.assess import AssessResult
from climrisk.result.calendar import CalendarResult
from climrisk.result.winter import WinterResult
from climrisk.seasons import MONTH_NAMES


def assess_section(result: AssessResult, number: int, today: date) -> Section:
    """Return the section of an assessment: verdict, year strip, months, numbers."""
    figure = draw.year_strip(result, today)
    months = list(result.months)
    year = Table(
        "Month by month",
        ["", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        [("state", *(result.months[m] for m in months))],
        kind="year",
    )
    cold = Table(
        "Nights below what it tolerates (harmful) and prefers (cold)",
        ["", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        night_rows(result),
    )
    hours = Table(
        "Hours too cold, by the middle of the spread (low to high)",
        COLD_HEADER,
        cold_rows(result),
    )
    extremes = Table("The coldest of the record", EXTREME_HEADER, extreme_rows(result))
    strip = Table(
        "Night minima by week, °C",
        ["week from", "low", "middle", "high", "coldest seen"],
        [
            (
                w.starts,
                *(or_unknown(v) for v in (w.low_c, w.mid_c, w.high_c, w.coldest_c)),
            )
            for w in result.year_strip
        ],
        folded=True,
    )
    dates = Table(
        "Dates",
        ["", "date", "next", "why"],
        [
            (
                "inside by",
                words(result.move_in),
                result.move_in.next_date or "",
                result.move_in.why,
            ),
            (
                "out from",
                words(result.move_out),
                result.move_out.next_date or "",
                result.move_out.why,
            ),
        ],
    )
    return Section(
        f"{result.plant.name} {result.spot.at}",
        result.verdict.sentence,
        result.verdict.word,
        [
            *read_as_lines(result.plant),
            *result.verdict.reasons[1:],
            f"Flowering: {result.flowering.word}; {result.flowering.reason}",
            *([] if result.wanted is None else [result.wanted.sentence]),
            *wind_lines(result.wind),
            *light_lines(result.light),
        ],
        [
            Picture(
                f"strip{number}",
                figure,
                "Night minima at the spot, week by week, over all years and all worlds "
                "of the spread: the line is the middle night, the band holds 8 nights "
                "in 10, a dash is the coldest night seen in its week; across, the "
                "plant's limits; shaded, the time indoors.",
            ),
            *_risk_picture(result, number),
            *_sun_picture(result, number),
        ],
        [*(year, cold, dates, hours, extremes), *_behind(result), strip],
    )


def _behind(result: AssessResult) -> list[Table]:
    """Return the tables that stand folded behind the answer."""
    tables = [
        *_risk_tables(result),
        *_wind_tables(result),
        Table(
            "Light at the spot, month by month",
            light_header(result.light),
            light_rows(result.light),
        ),
        *_sun_tables(result),
        Table(
            "Dry air, hours a year (low to high)",
            dry_header(result.dryness),
            dry_rows(result.dryness),
        ),
        *evidence_tables(result),
    ]
    return [replace(t, folded=True) for t in tables]


def _risk_picture(result: AssessResult, number: int) -> list[Picture]:
    if not result.risk_curve.autumn and not result.risk_curve.spring:
        return []
    words = (
        "The risk of every date: line, from the winters seen; shade, 8 chances in 10 "
        "with other winters of the same climate and other worlds of the spot; diamond, "
        "the date advised. Spring takes the higher risk, because a plant put out too "
        "early is carried back in."
    )
    return [Picture(f"risk{number}", draw.risk_dates(result), words)]


def _sun_picture(result: AssessResult, number: int) -> list[Picture]:
    if result.light.told_from != "geometry":
        return []
    words = (
        "When the sun reaches the spot, local standard time: dark where it shines on "
        "two days in three or more, lighter on one in three, palest on few. The days "
        "without it are cloudy; the hours without it are shaded."
    )
    return [Picture(f"sun{number}", draw.sun_clock(result.light), words)]


def _sun_tables(result: AssessResult) -> list[Table]:
    rows = clock_rows(result.light)
    if result.light.told_from != "geometry" or not rows:
        return []
    words = "Days with sun in the hour from, %"
    return [Table(words, light_header(result.light), rows, folded=True)]


def _risk_tables(result: AssessResult) -> list[Table]:
    rows = result.risk_curve.by_risk
    tail = result.winters.tail
    out = []
    if rows:
        out.append(
            Table(
                "Dates by risk, with the days between which each may lie",
                ["risk", "inside by", "between", "out from", "between"],
                risk_rows(result),
            )
        )
    if tail.levels:
        out.append(
            Table(
                f"Coldest night at the spot, {tail.why}",
                ["once in so many winters", "lowest °C"],
                [(r.once_in_winters, span(r.lowest_c, 1)) for r in tail.levels],
            )
        )
    return out


def _wind_tables(result: AssessResult) -> list[Table]:
    thrown = result.wind.toppling
    if thrown is None:
        return []
    out = [Table("What keeps the pot standing", HELPS_HEADER, helps_rows(thrown))]
    if thrown.expected_nights_by_month:
        words = "Nights on which the pot may fall, mean of the spread"
        out.insert(0, Table(words, month_header(thrown), month_rows(thrown)))
    return out


def winter_section(result: WinterResult, number: int) -> Section:
    """Return the section of a winter: ladder, all winters, nights as a table."""
    keys = [f"{t.threshold_c:g}" for t in result.thresholds]
    sums = Table(
        "Winters that count (November to March, or May to September)",
        [
            "below °C",
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
            "lowest °C",
            "evening °C",
            *(f"h below {k}" for k in keys),
            "kind",
            "regime, 1 clear and still",
            "wind m/s",
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
            "coldest °C",
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
                draw.winter_ladder(result),
                "One bar a night, from its lowest to its evening temperature; the "
                f"more hours below {keys[0]} °C, the stronger its color; plain when "
                "clear and still, striped when windy or overcast, dotted between; gray "
                "where unknown.",
            ),
            Picture(
                f"winters{number}",
                draw.winters_bar(result),
                f"Nights below {keys[0]} °C in each winter, and its coldest night.",
            ),
        ],
        tables=[sums, winters, nights],
    )


def calendar_section(result: CalendarResult) -> Section:
    """Return the section of the calendar: months by plant, days with tick boxes."""
    months = list(result.months[0].states)
    by_month = Table(
        "Where each plant belongs, month by month",
        ["plant", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        [(f"{r.label} ({r.spot})", *r.states.values()) for r in result.months],
        kind="year",
    )
    dates = Table(
        f"Dates at a risk of {result.risk:.0%}, in spring {result.spring_risk:.0%}",
        ["plant", "keep above", "inside by", "trip in", "out from", "trip out", "room"],
        [
            (
                *(r.label, f"{r.preferred_c:g} °C", words(r.move_in)),
                *(spoken(r.trip_in), words(r.move_out), spoken(r.trip_out), room(r)),
            )
            for r in result.months
        ],
    )
    cool = Table(
        "Cold that is wanted",
        ["plant", "wants", "has before it moves in", "done by"],
        [
            (
                r.label,
                wish(r.wanted),
                span(r.wanted.before_move_in, 0),
                spoken(r.wanted.done_by),
            )
            for r in result.months
            if r.wanted is not None
        ],
    )
    year = date.fromisoformat(result.as_of) + timedelta(days=365)
    coming = [e for e in result.entries if result.as_of <= e.date < year.isoformat()]
    days = Table(
        "What to do, and when",
        ["", "day", "what", "from and to", "why"],
        [
            (
                "[ ]",
                f"{date.fromisoformat(e.date):%a %d %b %Y}",
                WORDS[e.action],
                "; ".join(load_lines(e)),
                e.why,
            )
            for e in coming
        ],
    )
    return Section(
        "Move calendar",
        result.sentence,
        tables=[days, by_month, dates, *([cool] if cool.rows else [])],
    )


def or_unknown(value: float | None) -> float | str:
    """Return a number, or a question mark for unknown."""
    return "?" if value is None else value
