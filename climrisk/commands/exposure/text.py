"""Hours beyond thresholds as text for a terminal."""

from __future__ import annotations

from climrisk.commands.exposure.result import Beyond, BeyondOther, ExposureResult
from climrisk.core.quantities import DEGREES_APART, WIND
from climrisk.core.wording import month_heads, plural
from climrisk.render.answer import Answer, Part, Rows, Words, day_of, month_spans
from climrisk.render.display_units import difference, quantity, temperature
from climrisk.render.tables import table
from climrisk.render.text import weather_text


def exposure_answer(result: ExposureResult) -> Answer:
    """Return the hours beyond each threshold, a year and in the whole record."""
    weather = result.weather
    rows = [
        (
            name,
            f"{_a_year(row)}",
            f"{row.hours:,}",
            f"{row.longest_run_hours:,} h",
            month_spans([int(m) for m, hours in row.by_month.items() if hours])
            or "never",
        )
        for name, row in _beyond(result)
    ]
    head = ("", "h a year", "whole record", "longest run", "months")
    parts: list[Part] = [Rows(rows, header=head, rank=1, what="more threshold")]
    first, last = weather.first[:4], weather.last[:4]
    known = (
        f"{weather.source}, {first} to {last}: {100 * weather.coverage_frac:.0f} % of "
        f"{plural(weather.hours_expected, 'hour')} known."
    )
    parts.append(Words(known, rank=1))
    drop = result.night_drop
    if drop.mean_k is not None:
        text = (
            f"Nights are about {difference(drop.mean_k, 1)} colder than the days "
            "before."
        )
        parts.append(Words(text, rank=2, tight=True))
    headline = (
        f"Lowest {temperature(result.lowest_c, 1)} on {day_of(result.lowest_at)} "
        f"{result.lowest_at[:4]}, highest {temperature(result.highest_c, 1)}"
    )
    return Answer(headline, parts, "months, runs, degree-hours", ())


def _a_year(row: Beyond) -> str:
    """Return hours in the median year of those wholly inside the record."""
    hours = sorted(y.hours for y in row.by_growing_year if not y.unknown_hours)
    if not hours:
        return "?"
    middle = len(hours) // 2
    value = hours[middle] if len(hours) % 2 else (hours[middle - 1] + hours[middle]) / 2
    return f"{value:,.0f}"


def _beyond(result: ExposureResult) -> list[tuple[str, Beyond]]:
    """Return every threshold with its name."""
    rows: list[tuple[str, Beyond]] = [
        *((f"below {temperature(r.threshold_c)}", r) for r in result.below),
        *((f"above {temperature(r.threshold_c)}", r) for r in result.above),
    ]
    for other in (result.humidity_below, result.vpd_above, result.wind_above):
        rows += [(f"{_OTHER[r.variable]} {r.side} {_value(r)}", r) for r in other]
    return rows


def exposure_text(result: ExposureResult) -> str:
    """Return the exposure of a record in full."""
    parts = [result.sentence]
    rows = _beyond(result)
    if rows:
        parts.append(_totals(rows))
        parts.append(_months(rows))
    drop = result.night_drop
    if drop.mean_k is not None:
        parts.append(
            f"Night drop over {drop.nights:,} nights: mean "
            f"{difference(drop.mean_k, 1)}, "
            f"95 % of nights up to {difference(drop.p95_k, 1)}."
        )
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def _value(row: BeyondOther) -> str:
    if row.variable == "wind_speed_m_s":
        return quantity(WIND, row.threshold)
    return f"{row.threshold:g} {row.unit}"


_OTHER = {
    "rel_humidity_pct": "humidity",
    "vpd_kpa": "vapor pressure deficit",
    "wind_speed_m_s": "wind",
}


def _totals(rows: list[tuple[str, Beyond]]) -> str:
    return table(
        [
            *("in the whole record", "hours", f"degree-hours, {DEGREES_APART} h"),
            *("longest run, h", "unknown hours"),
        ],
        [
            (label, r.hours, r.degree_hours, r.longest_run_hours, r.unknown_hours)
            for label, r in rows
        ],
    )


def _months(rows: list[tuple[str, Beyond]]) -> str:
    months = list(rows[0][1].by_month)
    return "Hours by month, whole record:\n" + table(
        [
            "",
            *month_heads(months),
        ],
        [(label, *(r.by_month[m] for m in months)) for label, r in rows],
    )
