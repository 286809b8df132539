"""What a logger taught of a spot, as words for a terminal."""

from __future__ import annotations

from climrisk.commands.learn.result import LearnResult, Offset
from climrisk.core.quantities import DEGREES_APART, DIFFERENCE
from climrisk.core.references import by, field
from climrisk.core.wording import plural
from climrisk.render.answer import Answer, Part, Words
from climrisk.render.display_units import difference, number
from climrisk.render.tables import table
from climrisk.render.text import weather_text

HEADER = (
    "nights",
    f"before, {DEGREES_APART}",
    f"learned, {DEGREES_APART}",
    f"nine tenths between, {DEGREES_APART}",
    "seen",
)


def learn_answer(result: LearnResult) -> Answer:
    """Return how much warmer the spot is than the station, and how sure that is."""
    calm, windy = result.offset_still_k, result.offset_windy_k
    headline = (
        f"{result.spot}: {_side(calm)} than the station on calm nights (give or take "
        f"{difference(result.spread_k, 1)}), {_side(windy)} on windy ones"
    )
    calm_nights = f"{result.still_nights} of them clear and calm"
    text = f"{plural(result.nights_used, 'night')} used, {calm_nights}"
    if result.error_after_k is not None and result.error_before_k is not None:
        text += (
            "; held-out nights predicted to within "
            f"±{difference(result.error_after_k, 1)} "
            f"(±{number(DIFFERENCE, result.error_before_k, 1)} before)"
        )
    parts: list[Part] = [Words(f"{text}.")]
    four, now = result.in_four_weeks_k, result.spread_k
    if four is not None and four < 0.8 * now:
        parts.append(
            Words(f"Four more weeks would make it ±{difference(four, 1)}.", tight=True)
        )
    elif four is not None:
        parts.append(Words("Four more weeks would change little.", tight=True))
    parts += [Words(f"{note[:1].upper()}{note[1:]}.", rank=2) for note in result.notes]
    saved = (
        f"Saved to {result.saved}."
        if result.saved
        else by(cli=f"Keep it with {field('save')}.")
    )
    parts.append(Words(saved, tight=True))
    return Answer(
        headline, parts, "before and after, errors", result.cautions, result.files
    )


def _side(k: float) -> str:
    return f"{difference(abs(k), 1)} {'warmer' if k >= 0 else 'colder'}"


def learn_text(result: LearnResult) -> str:
    """Return in full the sentence, the offsets before and after, errors and notes."""
    parts = [result.sentence, table(HEADER, offset_rows(result))]
    if result.error_after_k is not None:
        parts.append(
            f"Error of the predicted minimum in held-out weeks: station as it is "
            f"{difference(result.error_station_k, 2)}, by the kind of spot "
            f"{difference(result.error_before_k, 2)}, learned "
            f"{difference(result.error_after_k, 2)} "
            f"({result.held_out_blocks} weeks)."
        )
    if result.swing_ratio_still is not None:
        parts.append(
            f"Day to night it swings {result.swing_ratio_still:.0%} of the station's "
            f"on clear calm days"
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
        ("clear and calm", result.prior_still, result.still, result.still_nights),
        ("windy or cloudy", result.prior_windy, result.windy, result.windy_nights),
    ):
        out.append(
            (
                words,
                _give_or_take(before),
                _give_or_take(after),
                f"{number(DIFFERENCE, after.low, 1, signed=True)} to "
                f"{number(DIFFERENCE, after.high, 1, signed=True)}",
                f"{seen}",
            )
        )
    return out


def _give_or_take(offset: Offset) -> str:
    """Return a difference and its standard deviation."""
    mean = number(DIFFERENCE, offset.mean, 1, signed=True)
    return f"{mean} ± {number(DIFFERENCE, offset.sd, 1)}"
