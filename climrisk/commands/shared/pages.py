"""Pages: the sections of one or several results, with their footer.

A sheet is what both a report in a file and the page in a browser show.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from climrisk.commands.assess.chart import strips_together
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.assess.several_result import AssessSeveral
from climrisk.commands.assess.several_text import HEADER, month_row, several_row
from climrisk.commands.calendar.result import CalendarResult
from climrisk.commands.exposure.result import ExposureResult
from climrisk.commands.logger.chart import record_days
from climrisk.commands.logger.result import LoggerResult
from climrisk.commands.logger.text import (
    COLUMN_HEADER,
    MONTH_HEADER,
    column_rows,
    month_rows,
)
from climrisk.commands.pots.chart import pots_dots
from climrisk.commands.pots.result import PotsResult
from climrisk.commands.pots.text import (
    CHOICE_HEADER,
    NIGHT_HEADER,
    choice,
    header,
    night_rows,
    row,
    water_lines,
    why,
)
from climrisk.commands.shared.home_tables import month_cells
from climrisk.commands.shared.sections import (
    assess_section,
    calendar_section,
    or_unknown,
    states_of,
    winter_section,
)
from climrisk.commands.winter.result import WinterResult
from climrisk.core.days import MONTH_NAMES
from climrisk.core.quantities import DEGREES
from climrisk.render.display_units import day, temperature
from climrisk.render.document import Caution
from climrisk.render.page import Page, Picture, Section, Table, render, weather_footer


def assess_sheet(result: AssessResult, today: date) -> Page:
    """Return an assessment as a page."""
    return Page(
        f"{result.plant.name}: {result.verdict.word}",
        f"{result.spot.words}, {result.weather.source}",
        [assess_section(result, 1, today)],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def open_sheet(result: AssessResult | AssessSeveral, today: date) -> Page:
    """Return the answer for a plant, or those of all that a name may mean."""
    if isinstance(result, AssessResult):
        return assess_sheet(result, today)
    return several_sheet(result)


def assess_page(result: AssessResult, today: date) -> str:
    """Return an assessment as a page in one file."""
    return render(assess_sheet(result, today))


def winter_sheet(result: WinterResult) -> Page:
    """Return the winter exposure of a spot as a page."""
    return Page(
        f"Winter exposure: {result.spot}",
        result.weather.source,
        [winter_section(result, 1)],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def winter_page(result: WinterResult) -> str:
    """Return the winter exposure of a spot as a page in one file."""
    return render(winter_sheet(result))


def calendar_sheet(result: CalendarResult) -> Page:
    """Return the move calendar as one sheet."""
    return Page(
        f"Move calendar, {result.home}",
        f"Risk {result.risk:.0%} a year; made for {day(result.as_of)}",
        [calendar_section(result)],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def calendar_page(result: CalendarResult) -> str:
    """Return the move calendar as one sheet."""
    return render(calendar_sheet(result))


def home_page(
    title: str,
    calendar: CalendarResult,
    assessed: Sequence[AssessResult],
    winter: WinterResult,
    today: date,
) -> str:
    """Return the whole job on one page."""
    cautions: dict[str, Caution] = {}
    every = [r.cautions for r in assessed] + [winter.cautions, calendar.cautions]
    for caution in (c for some in every for c in some):
        cautions.setdefault(caution.topic, caution)
    sections = [
        calendar_section(calendar),
        *(assess_section(r, i + 1, today) for i, r in enumerate(assessed)),
        winter_section(winter, 1),
    ]
    return render(
        Page(
            title,
            calendar.weather.source,
            sections,
            list(cautions.values()),
            weather_footer(calendar.weather, calendar.version),
        )
    )


DAYS_WORDS = (
    "A bar a day, from its lowest to its highest hour; pale where less than 80 % of "
    "the day is known, gray where nothing is; a triangle where readings were flagged."
)


def logger_sheet(result: LoggerResult) -> Page:
    """Return what a logger's file is as a page."""
    days = Table(
        "Every day",
        ["date", "hours known", f"lowest {DEGREES}", f"highest {DEGREES}", "marked"],
        [
            (
                d.date,
                f"{d.hours_known} of {d.hours}",
                or_unknown(d.lowest_c),
                or_unknown(d.highest_c),
                d.marked,
            )
            for d in result.days
        ],
        folded=True,
    )
    marks = Table(
        "Readings taken out",
        ["variable", "mark", "readings", "because"],
        [(m.variable, m.mark, m.readings, m.meaning) for m in result.weather.marks],
    )
    section = Section(
        "The record",
        result.sentence,
        reasons=result.worth,
        figures=[Picture("days1", record_days(result), DAYS_WORDS)],
        tables=[
            Table("Month by month", MONTH_HEADER, month_rows(result)),
            Table("Columns", COLUMN_HEADER, column_rows(result)),
            *([marks] if result.weather.marks else []),
            days,
        ],
    )
    return Page(
        result.weather.source,
        f"Clock: {result.table.clock}",
        [section],
        (),
        weather_footer(result.weather, result.version),
    )


def logger_page(result: LoggerResult) -> str:
    """Return what a logger's file is as a page in one file."""
    return render(logger_sheet(result))


def exposure_sheet(result: ExposureResult) -> Page:
    """Return what the weather is worth: coverage, what is assumed, hours by month."""
    weather = result.weather
    known = Table(
        "Hours of the record",
        ["", "hours", "share"],
        [
            (words, f"{hours:,}", f"{hours / weather.hours_expected:.1%}")
            for words, hours in (
                (
                    "measured",
                    weather.hours_known - weather.hours_modeled - weather.hours_filled,
                ),
                ("estimated: modeled", weather.hours_modeled),
                ("estimated: filled", weather.hours_filled),
                ("missing", weather.hours_expected - weather.hours_known),
            )
        ],
    )
    place = weather.place
    where = Table(
        "Where it was measured",
        ["place", "latitude", "longitude", "height, m", "time zone"],
        [
            (
                place.name,
                f"{place.latitude_deg:.2f}",
                f"{place.longitude_deg:.2f}",
                or_unknown(place.elevation_m),
                place.zone,
            )
        ],
    )
    assumed = Table(
        "Assumed, because the record does not say it",
        ["what", "taken as", "range", "why"],
        [(a.variable, a.value, a.spread, a.why) for a in weather.assumed],
    )
    marks = Table(
        "Readings taken out",
        ["variable", "mark", "readings", "because"],
        [(m.variable, m.mark, m.readings, m.meaning) for m in weather.marks],
    )
    tables = [known, where]
    tables += [t for t in (assumed, marks) if t.rows]
    if result.below:
        months = list(result.below[0].by_month)
        tables.append(
            Table(
                "Hours by month, in the whole record",
                ["", *(MONTH_NAMES[int(m) - 1][:3] for m in months), "longest run, h"],
                [
                    (
                        f"below {temperature(r.threshold_c)}",
                        *(r.by_month[m] for m in months),
                        r.longest_run_hours,
                    )
                    for r in result.below
                ],
            )
        )
    return Page(
        f"How good is this weather record: {weather.source}",
        f"{day(weather.first)} to {day(weather.last)}",
        [Section("The record", result.sentence, reasons=weather.notes, tables=tables)],
        (),
        weather_footer(weather, result.version),
    )


POTS_WORDS = (
    "Dot: median; line: 8 chances in 10, by what is not known of the spot and the pot; "
    "open dot: no clear difference; square: the reference pot."
)


def pots_sheet(result: PotsResult) -> Page:
    """Return pots and media compared as a page."""
    section = Section(
        f"Pots and media {result.spot_at}",
        result.sentence,
        reasons=[*water_lines(result), *why(result)],
        figures=[Picture("pots1", pots_dots(result), POTS_WORDS)],
        tables=[
            Table("What to choose by", CHOICE_HEADER, [choice(r) for r in result.pots]),
            Table("The pots", header(result), [row(r) for r in result.pots]),
            Table(
                "The coldest calm and windy nights",
                NIGHT_HEADER,
                night_rows(result),
            ),
        ],
    )
    return Page(
        f"Pots compared: {result.spot}",
        result.weather.source,
        [section],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def pots_page(result: PotsResult) -> str:
    """Return pots and media compared as a page in one file."""
    return render(pots_sheet(result))


def several_sheet(result: AssessSeveral) -> Page:
    """Return answers side by side as a page."""
    months = list(result.choices[0].result.months)
    names = [MONTH_NAMES[int(m) - 1][:3] for m in months]
    kinds = dict.fromkeys((c.kind, c.line) for c in result.choices)
    section = Section(
        result.question,
        result.sentence,
        reasons=[f"{kind}: {line}" for kind, line in kinds],
        figures=[
            Picture(
                "strips1",
                strips_together(result),
                "Night minima at the spot, week by week, over all years, the same for "
                "every plant; across, the night minimum that each prefers.",
            )
        ],
        tables=[
            Table("Side by side", HEADER, [several_row(c) for c in result.choices]),
            Table(
                "Month by month",
                ["plant", *names],
                [(c.name, *month_cells(*states_of(c.result))) for c in result.choices],
                kind="year",
            ),
            Table(
                "Years with a harmful night, colder than it tolerates",
                ["plant", *names],
                [month_row(c, months) for c in result.choices],
                kind="year counts",
            ),
            Table("What next", ["step"], [(_next_step(result),)]),
        ],
    )
    return Page(
        f"{result.asked}: {result.why}",
        result.choices[0].result.spot.words,
        [section],
        result.cautions,
        weather_footer(result.weather, result.version),
    )


def _next_step(result: AssessSeveral) -> str:
    if result.why == "no profile":
        near = "; ".join(result.nearest)
        return (
            f"Spelled otherwise? The nearest names: {near}. Or check a plant of the "
            "class that its limits fit."
        )
    return "Check it again by its full name in the list above."


def several_page(result: AssessSeveral) -> str:
    """Return answers side by side as a page in one file."""
    return render(several_sheet(result))


def of_plant(plant: str | None) -> str:
    """Return whose limits a picture shows, to begin its title with."""
    return "" if plant is None else f"{plant}: "
