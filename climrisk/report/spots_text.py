"""Spots ranked, as words for a terminal."""

from __future__ import annotations

from climrisk.bands import Band
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.spots import SpotsResult

AROUND = ("spot", "building surface, K", "floor, K", "low sky, K")


def spots_text(result: SpotsResult) -> str:
    """Return the sentence, the ranking, the reasons and what the surroundings add."""
    parts = [result.sentence, table(header(result), rows(result))]
    parts.append("\n".join(f"{r.rank}. {r.spot}: {r.reason}" for r in result.spots))
    around = around_rows(result)
    if around:
        parts.append(
            "What stands around adds to the roots' winter night lows:\n\n"
            + table(AROUND, around)
        )
    parts += [f"Written: {path}" for path in result.files]
    parts += [c.text for c in result.cautions]
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def header(result: SpotsResult) -> tuple[str, ...]:
    """Return the header of the ranking."""
    return (
        "rank",
        "spot",
        f"h/year < {result.preferred_c:g} °C",
        "clear still nights, h a winter",
        "windy nights, h a winter",
        "too hot, h/year",
        "coldest, °C",
        "wind",
    )


def rows(result: SpotsResult) -> list[tuple[str, ...]]:
    """Return the ranking."""
    return [
        (
            f"{r.rank}",
            r.spot,
            _band(r.hours_below_preferred),
            _band(r.still_nights.hours_below_preferred),
            _band(r.windy_nights.hours_below_preferred),
            "?" if r.hours_above_hot_limit is None else _band(r.hours_above_hot_limit),
            _band(r.lowest_c, digits=1),
            f"{r.wind_share:.0%}",
        )
        for r in result.spots
    ]


def around_rows(result: SpotsResult) -> list[tuple[str, ...]]:
    """Return what each thing around adds at spots outdoors."""
    return [
        (r.spot, *(f"{v:+.1f}" for v in r.surroundings_k.values()))
        for r in result.spots
        if r.surroundings_k
    ]


def _band(band: Band, digits: int = 0) -> str:
    if band.mid is None or band.low is None or band.high is None:
        return "?"
    if band.low == band.high:
        return f"{band.mid:,.{digits}f}"
    low, high = (f"{v:,.{digits}f}" for v in (band.low, band.high))
    return f"{band.mid:,.{digits}f} ({low} to {high})"
