"""What a logger taught of a spot, as words for a terminal."""

from __future__ import annotations

from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.learn import LearnResult

HEADER = ("nights", "before, K", "learned, K", "nine tenths between, K", "seen")


def learn_text(result: LearnResult) -> str:
    """Return the sentence, the offsets before and after, errors and notes."""
    parts = [result.sentence, table(HEADER, offset_rows(result))]
    if result.error_after_k is not None:
        parts.append(
            f"Error of the foretold minimum on weeks left out: station as it is "
            f"{result.error_station_k:.2f} K, by the kind of spot "
            f"{result.error_before_k:.2f} K, learned {result.error_after_k:.2f} K "
            f"({result.held_out_blocks} weeks)."
        )
    if result.swing_ratio_still is not None:
        parts.append(
            f"Day to night it swings {result.swing_ratio_still:.0%} of the station's "
            f"on clear still days"
            + (
                ""
                if result.swing_ratio_windy is None
                else f", {result.swing_ratio_windy:.0%} on windy ones"
            )
            + "."
        )
    parts += [f"- {note}" for note in result.notes]
    if result.saved:
        parts.append(f"Saved in {result.saved}: spot {result.spot}.")
    parts += [f"Written: {path}" for path in result.files]
    parts += [c.text for c in result.cautions]
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


def offset_rows(result: LearnResult) -> list[tuple[str, ...]]:
    """Return the offsets before and after learning."""
    out: list[tuple[str, ...]] = []
    for words, before, after, seen in (
        ("clear and still", result.prior_still, result.still, result.still_nights),
        ("windy or overcast", result.prior_windy, result.windy, result.windy_nights),
    ):
        out.append(
            (
                words,
                f"{before.mean:+.1f} ± {before.sd:.1f}",
                f"{after.mean:+.1f} ± {after.sd:.1f}",
                f"{after.low:+.1f} to {after.high:+.1f}",
                f"{seen}",
            )
        )
    return out
