"""Pots and media compared, as words for a terminal."""

from __future__ import annotations

from climrisk.report.assess_text import span
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.pots import NightCase, PotRow, PotsResult


def pots_text(result: PotsResult) -> str:
    """Return sentence, table, reasons and the worst nights."""
    parts = [
        result.sentence,
        table(header(result), [row(r) for r in result.pots]),
        "\n".join(why(result)),
    ]
    nights = night_rows(result)
    if nights:
        parts.append(table(NIGHT_HEADER, nights))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


NIGHT_HEADER = (
    "pot",
    "still night",
    "air °C",
    "roots °C",
    "windy night",
    "air °C",
    "roots °C",
)


def label(pot: PotRow) -> str:
    """Return a pot with its medium in a few words."""
    return f"{pot.diameter_cm:g} cm {pot.pot}, {pot.medium}"


def why(result: PotsResult) -> list[str]:
    """Return a line for each pot that differs, and one for all that do not."""
    clear = [r for r in result.pots if r.differs in ("warmer", "colder")]
    alike = [r for r in result.pots if r.differs == "no clear difference"]
    lines = [f"{label(r)}: {r.differs}, {r.reason}." for r in clear]
    if alike:
        names = "; ".join(label(r) for r in alike)
        lines.append(f"No clear difference from {result.reference}: {names}.")
    return lines


def header(result: PotsResult) -> list[str]:
    """Return the names of the columns."""
    limits = list(result.pots[0].hours_below)
    return [
        "pot",
        "follows in, h",
        "daily swing",
        "later by, h",
        "winter nights, K warmer",
        "lowest °C",
        *(f"hours below {limit} °C" for limit in limits),
        "weight, kg",
        "falls at, km/h",
    ]


def row(pot: PotRow) -> list[str]:
    """Return the cells of one pot."""
    return [
        label(pot),
        f"{pot.time_constant_h:.1f}",
        f"{100 * pot.daily_amplitude_ratio:.0f} %",
        f"{pot.daily_lag_h:.1f}",
        span(pot.warmer_k, 1),
        span(pot.lowest_c, 1),
        *(span(band, 0) for band in pot.hours_below.values()),
        f"{pot.mass_kg:.1f}",
        "hangs" if pot.falls_at_km_h is None else span(pot.falls_at_km_h, 0),
    ]


def night_rows(result: PotsResult) -> list[list[str]]:
    """Return the coldest still and windy nights, air and roots."""
    return [
        [label(p), *_night(p.worst_still_night), *_night(p.worst_windy_night)]
        for p in result.pots
        if p.worst_still_night or p.worst_windy_night
    ]


def _night(case: NightCase | None) -> list[str]:
    if case is None:
        return ["none", "?", "?"]
    return [case.evening, f"{case.air_c:.1f}", span(case.root_zone_c, 1)]
