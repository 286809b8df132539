"""The page of a weather record and its hours beyond thresholds."""

from __future__ import annotations

from climrisk.commands.exposure.result import ExposureResult
from climrisk.core.wording import month_heads
from climrisk.render.display_units import day, temperature
from climrisk.render.page import Page, Section, Table, page_of
from climrisk.render.text import or_unknown


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
                ["", *month_heads(months), "longest run, h"],
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
    return page_of(
        result,
        f"How good is this weather record: {weather.source}",
        f"{day(weather.first)} to {day(weather.last)}",
        [Section("The record", result.sentence, reasons=weather.notes, tables=tables)],
    )
