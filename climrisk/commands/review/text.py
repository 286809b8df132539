"""A winter looked back on as words for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from climrisk.commands.review.result import ReviewNight, ReviewPlant, ReviewResult
from climrisk.core.quantities import DEGREES, DEGREES_APART, DIFFERENCE, TEMPERATURE
from climrisk.core.references import by, field
from climrisk.core.wording import plural
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, day_of
from climrisk.render.display_units import difference, number, temperature
from climrisk.render.tables import table
from climrisk.render.text import weather_line

BIAS_HEADER = (
    "nights",
    "how many",
    f"logger - model, {DEGREES_APART}",
    f"rms, {DEGREES_APART}",
    "inside the range",
)
BELOW_HEADER = (
    f"below {DEGREES}",
    "hours",
    "nights",
    "longest run",
    "unknown nights",
    "by",
)
NIGHT_HEADER = ("evening", f"logger {DEGREES}", f"model {DEGREES}", "8 in 10", "kind")
WINTER_HEADER = (
    "winter",
    f"mean minimum {DEGREES}",
    f"lowest {DEGREES}",
    "evening",
    "",
)
PLANT_HEADER = (
    "plant",
    f"lowest - limit, {DEGREES_APART}",
    "near misses",
    "winters below",
    "by",
)
OFFSET_HEADER = (
    "nights",
    f"warmer than the station before, {DEGREES_APART}",
    f"with this logger, {DEGREES_APART}",
)


def review_answer(result: ReviewResult) -> Answer:
    """Return how cold the winter was, what its plants met, and what was learned."""
    rank = result.rank
    word = "" if rank is None else f": {_rank_word(rank.colder_frac)}"
    parts: list[Part] = []
    if rank is not None:
        others = rank.winters - 1
        coldest = result.coldest[0] if result.coldest else None
        text = (
            f"{rank.by_mean - 1} of the other {others} winters were colder on average."
        )
        if coldest is not None:
            lowest = _either(coldest)
            if lowest is not None:
                when = day_of(coldest.evening)
                text = (
                    f"The coldest night reached {temperature(lowest, 1)} on "
                    f"{when}. {text}"
                )
        parts.append(Words(text))
    elif result.rank_unknown_because is not None:
        parts.append(Words(f"Not compared with others: {result.rank_unknown_because}."))
    rows = [(f"{p.count} {short_name(p.label)}", _met(p)) for p in result.plants]
    parts.append(Rows(rows, rank=1, least=3, what="more plant"))
    parts.append(Words(_lesson(result), rank=1))
    return Answer(
        f"Winter {result.shown}, {result.spot}{word}",
        [p for p in parts if not isinstance(p, Words) or p.text],
        "nights, winters, comparison",
        result.cautions,
        result.files,
    )


#: Shares of other winters that were colder on average.
_MILD, _COLD = 0.67, 0.33


def _rank_word(colder_frac: float) -> str:
    if colder_frac >= _MILD:
        return "mild"
    return "cold" if colder_frac <= _COLD else "about average"


def _either(night: ReviewNight) -> float | None:
    return night.logger_c if night.logger_c is not None else night.model_c


def _met(row: ReviewPlant) -> str:
    """Return how near the edge a plant lived."""
    if row.lowest_c is None:
        return "nothing is known"
    limit = f"the {temperature(row.tolerated_c)} it tolerates"
    if row.nights_below_tolerated:
        nights = plural(row.nights_below_tolerated, "night")
        return f"{nights} below {limit}; down to {temperature(row.lowest_c, 1)}"
    if row.near_misses:
        return (
            f"near the edge {plural(len(row.near_misses), 'time')}; never below {limit}"
        )
    return f"never near {limit}"


def _lesson(result: ReviewResult) -> str:
    """Return how the logger compares with the model."""
    if result.bias_unknown_because is not None:
        return "Add your logger's file" + by(cli=f" ({field('file')})") + " to compare."
    calm = next((b for b in result.bias if b.kind == "still"), None)
    if calm is None or calm.bias_k is None:
        return ""
    side = "warmer" if calm.bias_k >= 0 else "colder"
    text = (
        f"How sure: on {plural(calm.nights, 'calm night')} the logger was "
        f"{difference(abs(calm.bias_k), 1)} {side} than computed"
    )
    return text + (
        by(cli="; climrisk learn takes this in") + "."
        if abs(calm.bias_k) >= _WORTH_K
        else "."
    )


#: A difference that is worth learning. [K]
_WORTH_K = 0.5


def review_text(result: ReviewResult) -> str:
    """Return everything: plants, logger against model, coldest nights, winters."""
    parts = [result.sentence, *(f"Note: {note}." for note in result.notes)]
    if result.plants:
        parts.append(table(PLANT_HEADER, plant_rows(result)))
        parts.append("\n".join(p.sentence for p in result.plants))
    if result.bias_unknown_because is None:
        parts.append(table(BIAS_HEADER, bias_rows(result)))
    else:
        parts.append(f"No comparison: {result.bias_unknown_because}.")
    if result.offsets:
        parts.append(table(OFFSET_HEADER, offset_rows(result)))
    elif result.logger is not None:
        parts.append(f"Nothing new is learned: {result.offsets_unknown_because}.")
    parts.append(table(BELOW_HEADER, below_rows(result)))
    parts.append(table(NIGHT_HEADER, [night_row(n) for n in result.coldest]))
    if result.rank_unknown_because is not None:
        parts.append(f"No rank: {result.rank_unknown_because}.")
    parts.append(table(WINTER_HEADER, winter_rows(result)))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_line(result.weather))
    return "\n\n".join(parts)


def bias_rows(result: ReviewResult) -> Sequence[Sequence[object]]:
    """Return logger against model by the kind of night."""
    return [
        (
            b.kind,
            b.nights,
            "?" if b.bias_k is None else number(DIFFERENCE, b.bias_k, 2, signed=True),
            "?" if b.rms_k is None else number(DIFFERENCE, b.rms_k, 2),
            "?" if b.inside_frac is None else f"{b.inside_frac:.0%} (80 % expected)",
        )
        for b in result.bias
    ]


def offset_rows(result: ReviewResult) -> Sequence[Sequence[object]]:
    """Return the offsets held and those that the logger would make."""
    return [
        (
            o.kind,
            _give_or_take(o.before_k, o.before_sd_k),
            _give_or_take(o.after_k, o.after_sd_k),
        )
        for o in result.offsets
    ]


def below_rows(result: ReviewResult) -> Sequence[Sequence[object]]:
    """Return what the winter had below each threshold."""
    return [
        (
            number(TEMPERATURE, t.threshold_c),
            "?" if t.hours is None else f"{t.hours:,.0f}",
            t.nights,
            t.longest_run_nights,
            t.unknown_nights,
            t.by,
        )
        for t in result.thresholds
    ]


def night_row(night: ReviewNight) -> Sequence[object]:
    """Return one night of both."""
    band = "?"
    if night.model_low_c is not None:
        band = f"{_number(night.model_low_c)} to {_number(night.model_high_c)}"
    return (
        night.evening,
        _number(night.logger_c),
        _number(night.model_c),
        band,
        night.kind,
    )


def winter_rows(result: ReviewResult) -> Sequence[Sequence[object]]:
    """Return all winters, the coldest on average first."""
    known = [w for w in result.winters if w.mean_minimum_c is not None]
    return [
        (
            w.label + (" <" if w.label == result.shown else ""),
            number(TEMPERATURE, w.mean_minimum_c or 0.0, 2),
            _number(w.lowest_c),
            w.lowest_evening or "?",
            "" if w.counts else "too little known: not ranked",
        )
        for w in sorted(known, key=lambda w: w.mean_minimum_c or 0.0)
    ]


def plant_rows(result: ReviewResult) -> Sequence[Sequence[object]]:
    """Return the plants, the one nearest the edge first."""
    return [
        (
            f"{p.count} x {p.label}" if p.count > 1 else p.label,
            "?"
            if p.margin_k is None
            else number(DIFFERENCE, p.margin_k, 1, signed=True),
            len(p.near_misses),
            f"{p.winters_below} of {p.winters}",
            p.by,
        )
        for p in result.plants
    ]


def _number(value: float | None) -> str:
    return "?" if value is None else number(TEMPERATURE, value, 1)


def _give_or_take(mean_k: float, sd_k: float) -> str:
    """Return a difference and its standard deviation."""
    mean = number(DIFFERENCE, mean_k, 2, signed=True)
    return f"{mean} ± {number(DIFFERENCE, sd_k, 2)}"
