"""A winter as words for a terminal."""

from __future__ import annotations

from climrisk.commands.winter.result import WinterResult, WinterRow
from climrisk.core.quantities import DEGREES, TEMPERATURE
from climrisk.core.wording import plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, day_of
from climrisk.render.display_units import number, temperature
from climrisk.render.tables import table
from climrisk.render.text import span, weather_text

WINTERS = (
    "A winter is November to March, in the south May to September; the ranges are over "
    "winters and what is not known of the spot. A year has more cold hours than that."
)


#: Shares of other winters that were colder; beyond these a winter is mild or cold.
_MILD, _COLD = 0.67, 0.33
_FEW_WINTERS = 3
_WORDS = {"preferred": " (it prefers)", "tolerated": " (it tolerates)"}


def winter_answer(result: WinterResult) -> Answer:
    """Return how cold a winter was, its coldest night, and whether a cover helps."""
    label, at = result.shown, result.spot_at
    known = [n for n in result.nights if n.lowest_c is not None]
    if not known:
        headline = f"Winter {label} {at}: no night is known."
        return Answer(headline, [], _DETAILS, result.cautions, result.files)
    limit = result.thresholds[0]
    key = f"{limit.threshold_c:g}"
    shown = next(w for w in result.winters if w.label == label)
    others = [w for w in result.winters if w.counts and w.label != label]
    colder = sum(w.hours_below[key] > shown.hours_below[key] for w in others)
    word = ""
    if len(others) >= _FEW_WINTERS and shown.counts:
        share = colder / len(others)
        word = (
            "mild" if share >= _MILD else "cold" if share <= _COLD else "about average"
        )
    parts: list[Part] = [Words(_nights(result, shown))]
    if word:
        rank = f"{colder} of the other {len(others)} winters had more such hours."
        parts.append(Words(rank, tight=True))
    parts.append(
        Rows(
            [
                (
                    f"below {temperature(t.threshold_c)}{_WORDS.get(t.words, '')}",
                    span(t.nights_per_winter, 0),
                    span(t.hours_per_winter, 0),
                )
                for t in result.thresholds
                if t.nights_per_winter.mid is not None
            ],
            header=("usual winter", "nights", "hours"),
            rank=1,
        )
    )
    lost = len(result.nights) - len(known)
    if lost:
        parts.append(
            Words(f"{plural(lost, 'night')} of this winter are unknown.", rank=1)
        )
    whose = "" if result.plant is None else f", for {short_name(result.plant)}"
    headline = f"Winter {label} {at}{whose}{': ' if word else ''}{word}"
    return Answer(headline, parts, _DETAILS, result.cautions, result.files)


_DETAILS = "coldest nights, ranges, trend"


def _nights(result: WinterResult, shown: WinterRow) -> str:
    """Return the cold nights of a winter, and how many were windy or cloudy."""
    limit = result.thresholds[0].threshold_c
    key = f"{limit:g}"
    known = [n for n in result.nights if n.lowest_c is not None]
    cold, hours = shown.cold_nights[key], shown.hours_below[key]
    text = f"{cold} of {plural(len(known), 'night')} below {temperature(limit)}"
    if cold:
        text += f", {hours:,.0f} hours in all (about {plural(hours / 24, 'day')})"
    coldest = min(known, key=lambda n: n.lowest_c or 0.0)
    kind = {"still": ", clear and calm", "windy": ", windy or cloudy"}
    text += (
        f"; the coldest night reached {temperature(coldest.lowest_c, 1)} on "
        f"{day_of(coldest.evening)}{kind.get(coldest.kind, '')}."
    )
    return f"{text} {windy_nights(result)}".strip()


def windy_nights(result: WinterResult) -> str:
    """Return on how many cold nights a cover would not have helped, or nothing."""
    limit = result.thresholds[0].threshold_c
    windy = sum(
        n.kind == "windy" and n.lowest_c is not None and n.lowest_c < limit
        for n in result.nights
    )
    if not windy:
        return ""
    return (
        f"{windy} of the cold nights were windy or cloudy: fleece would not have "
        "helped on those."
    )


def winter_text(result: WinterResult) -> str:
    """Return in full the winter exposure of a spot: sentence, sums, worst nights."""
    sums = table(
        [
            f"below {DEGREES}",
            "",
            "hours a winter",
            "nights a winter",
            "longest run of any, nights",
        ],
        [
            (
                number(TEMPERATURE, t.threshold_c),
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
            f"lowest {DEGREES}",
            "low to high",
            "kind",
            "known",
        ],
        [
            (
                n.evening,
                n.lowest_c,
                f"{number(TEMPERATURE, n.low_c, 1)} to "
                f"{number(TEMPERATURE, n.high_c, 1)}",
                n.kind,
                n.known,
            )
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
