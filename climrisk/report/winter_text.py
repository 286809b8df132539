"""A winter as words for a terminal."""

from __future__ import annotations

from climrisk.report.assess_text import span
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.winter import WinterResult

WINTERS = (
    "A winter is November to March, in the south May to September; the ranges are over "
    "winters and what is not known of the spot. A year has more cold hours than that."
)


def winter_text(result: WinterResult) -> str:
    """Return the winter exposure of a spot: sentence, sums, worst nights."""
    sums = table(
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
    worst = table(
        [
            f"coldest nights of {result.shown}",
            "lowest °C",
            "low to high",
            "kind",
            "known",
        ],
        [
            (n.evening, n.lowest_c, f"{n.low_c:.1f} to {n.high_c:.1f}", n.kind, n.known)
            for n in result.worst
            if n.low_c is not None and n.high_c is not None
        ],
    )
    parts = [result.sentence, f"{sums}\n{WINTERS}", worst]
    if result.drift is not None:
        parts.append(f"{result.drift.words[:1].upper()}{result.drift.words[1:]}.")
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)
