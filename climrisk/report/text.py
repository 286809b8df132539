"""Results as words for a terminal: the sentence first, then the table."""

from __future__ import annotations

from climrisk.report.tables import table
from climrisk.result.common import StationAway, WeatherInfo
from climrisk.result.exposure import Beyond, ExposureResult
from climrisk.seasons import MONTH_NAMES


def exposure_text(result: ExposureResult) -> str:
    """Return the exposure of a record as text."""
    parts = [result.sentence]
    rows: list[tuple[str, Beyond]] = [
        *((f"below {r.threshold_c:g} °C", r) for r in result.below),
        *((f"above {r.threshold_c:g} °C", r) for r in result.above),
    ]
    for other in (result.humidity_below, result.vpd_above, result.wind_above):
        rows += [
            (f"{_OTHER[r.variable]} {r.side} {r.threshold:g} {r.unit}", r)
            for r in other
        ]
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
    return table(
        [
            "hours by month, whole record",
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
    where = f"The station stands {station.distance_km:g} km away"
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
