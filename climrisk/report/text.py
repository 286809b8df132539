"""Results as words for a terminal: the sentence first, then the table."""

from __future__ import annotations

from climrisk.report.answer import Answer, Part, Rows, Words, day_of, month_spans
from climrisk.report.tables import table
from climrisk.result.common import StationAway, WeatherInfo
from climrisk.result.exposure import Beyond, ExposureResult
from climrisk.seasons import MONTH_NAMES
from climrisk.wording import plural


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
        text = f"Nights are about {drop.mean_k:.1f} °C colder than the days before."
        parts.append(Words(text, rank=2, tight=True))
    headline = (
        f"Lowest {result.lowest_c:.1f} °C on {day_of(result.lowest_at)} "
        f"{result.lowest_at[:4]}, highest {result.highest_c:.1f} °C"
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
        *((f"below {r.threshold_c:g} °C", r) for r in result.below),
        *((f"above {r.threshold_c:g} °C", r) for r in result.above),
    ]
    for other in (result.humidity_below, result.vpd_above, result.wind_above):
        rows += [
            (f"{_OTHER[r.variable]} {r.side} {r.threshold:g} {r.unit}", r)
            for r in other
        ]
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
            f"Night drop over {drop.nights:,} nights: mean {drop.mean_k:.1f} °C, "
            f"95 % of nights up to {drop.p95_k:.1f} °C."
        )
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


_OTHER = {
    "rel_humidity_pct": "humidity",
    "vpd_kpa": "vapor pressure deficit",
    "wind_speed_m_s": "wind",
}


def _totals(rows: list[tuple[str, Beyond]]) -> str:
    return table(
        [
            *("in the whole record", "hours", "degree-hours"),
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
            *(MONTH_NAMES[int(m) - 1][:3] for m in months),
        ],
        [(label, *(r.by_month[m] for m in months)) for label, r in rows],
    )


def weather_text(weather: WeatherInfo) -> str:
    """Return the lines that say what the weather is worth and whom to credit."""
    lines = [
        f"Weather: {weather.source}, {weather.first} to {weather.last}; "
        f"{100 * weather.coverage_frac:.1f} % of hours known"
        + (
            f", {weather.hours_modeled:,} of them modeled"
            if weather.hours_modeled
            else ""
        )
        + f"; taken as measured at the {weather.measured_at}."
    ]
    lines += [
        f"Assumed {a.variable}: {a.value} ({a.spread}), {a.why}."
        for a in weather.assumed
    ]
    if weather.station is not None:
        lines.append(_station_line(weather.station))
        lines += [f"Next station: {other}." for other in weather.station.others]
    if weather.resolution_c is not None:
        lines.append(f"Temperatures are rounded to {weather.resolution_c:.2g} K.")
    lines += [f"Note: {note}." for note in weather.notes]
    if weather.credit:
        lines.append(weather.credit + ("" if weather.credit.endswith(".") else "."))
    return "\n".join(lines)


def _station_line(station: StationAway) -> str:
    height = station.height_difference_m
    where = f"The station is {station.distance_km:g} km away"
    if height is not None and round(height) != 0:
        word = "higher" if height > 0 else "lower"
        where += f" and {abs(height):.0f} m {word}"
    return (
        f"{where}, which makes its nights uncertain by ±{station.spread_k:g} °C more."
    )


def weather_line(weather: WeatherInfo) -> str:
    """Return where weather comes from and whom to credit, in one line."""
    line = f"Weather: {weather.source}, {weather.first[:10]} to {weather.last[:10]}."
    return f"{line} {weather.credit}".strip()


def as_sentence(words: str) -> str:
    """Return words as a sentence: their first letter large, a stop at the end."""
    return f"{words[:1].upper()}{words[1:]}."
