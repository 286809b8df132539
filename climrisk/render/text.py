"""The weather record of an answer as text."""

from __future__ import annotations

from climrisk.core.quantities import Kind
from climrisk.core.ranges import Band
from climrisk.render.display_units import day, difference, number
from climrisk.render.document import StationAway, WeatherInfo


def weather_text(weather: WeatherInfo) -> str:
    """Return the lines that say what the weather is worth and whom to credit."""
    lines = [
        f"Weather: {weather.source}, {day(weather.first)} to {day(weather.last)}; "
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
        lines.append(f"Temperatures are rounded to {difference(weather.resolution_c)}.")
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
        f"{where}, which makes its nights uncertain by "
        f"±{difference(station.spread_k)} more."
    )


def weather_line(weather: WeatherInfo) -> str:
    """Return where weather comes from and whom to credit, in one line."""
    first, last = day(weather.first[:10]), day(weather.last[:10])
    line = f"Weather: {weather.source}, {first} to {last}."
    return f"{line} {weather.credit}".strip()


def as_sentence(words: str) -> str:
    """Return words as a sentence: their first letter large, a stop at the end."""
    return f"{words[:1].upper()}{words[1:]}."


def percent(share: float | None) -> str:
    """Return a share as per cent, or a question mark for unknown."""
    return "?" if share is None else f"{100 * share:.0f} %"


def span(band: Band | None, digits: int, kind: Kind | None = None) -> str:
    """Return a band as mid (low to high), of a kind of quantity; unknown as ?."""
    if band is None or band.low is None or band.mid is None or band.high is None:
        return "?"
    low, mid, high = (
        f"{v:,.{digits}f}" if kind is None else number(kind, v, digits)
        for v in (band.low, band.mid, band.high)
    )
    return mid if low == high else f"{mid} ({low} to {high})"


def or_unknown(value: float | None) -> float | str:
    """Return a number, or a question mark for unknown."""
    return "?" if value is None else value
