"""The sentence that a grower reads first. No figure in it that is not in the result."""

from __future__ import annotations

from climrisk.commands.assess.result import AssessResult
from climrisk.core.days import MONTH_NAMES, day_in_words
from climrisk.core.frozen import for_sentences


def assess_sentence(result: AssessResult) -> str:
    """Return the verdict as one to three sentences to act on."""
    values = for_sentences(result)
    parts = [_lead(values), _dates(values), _doubt(values)]
    return " ".join(part for part in parts if part)


def _lead(result: AssessResult) -> str:
    found, name, at = result.verdict, result.plant.name, result.spot.at
    rough = {
        "winters": "",
        "typical year": "By a typical year, which holds no extremes: ",
        "far station": "By a far station, so only roughly: ",
    }[found.basis]
    if found.word == "cannot say":
        return f"{rough}whether {name} suits {result.spot.words} cannot be said: " + (
            f"{found.reasons[0]}."
        )
    if found.word == "poor match":
        why = "; ".join(found.reasons)
        return f"{rough}{name} is a poor match for {result.spot.words}: {why}."
    if found.word in ("suits", "suits with moves"):
        lead = f"{rough}{name} can stay {at} all year"
    else:
        away = found.room_at or "indoors"
        lead = f"{rough}{name} can be {at} {_free(result)} and {away} {_stay(result)}"
    return f"{lead}{_conditions(result)}."


def _free(result: AssessResult) -> str:
    """Return when it is outdoors, by its dates, else by its months."""
    out, into = result.move_out, result.move_in
    if out.status == "date" and into.status == "date":
        first, last = (day_in_words(d.month_day or "01-01") for d in (out, into))
        return f"from {first} to {last}"
    inside = set(result.verdict.months_in)
    free = [int(m) for m in result.months if int(m) not in inside]
    return f"in {len(free)} months of the year"


def _stay(result: AssessResult) -> str:
    if result.move_out.status == "date" and result.move_in.status == "date":
        return "for the rest of the year"
    months = result.verdict.months_in
    first, last = (MONTH_NAMES[m - 1] for m in (months[0], months[-1]))
    return f"from {first} to {last}" if first != last else f"in {first}"


def _conditions(result: AssessResult) -> str:
    """Return what has to be done besides: the lamp first, then the rest."""
    rows = sorted(result.verdict.conditions, key=lambda c: c.kind != "light")
    light = [c.words for c in rows if c.kind == "light"]
    rest = [c.words for c in rows if c.kind != "light"]
    text = f", {light[0]}" if light else ""
    return f"{text}: {'; '.join(rest)}" if rest else text


def _dates(result: AssessResult) -> str:
    into, out = result.move_in, result.move_out
    if into.status == "date" and out.status == "date":
        if result.verdict.word in ("cannot say", "poor match"):
            return ""
        return f"Bring it in by {day_in_words(into.month_day or '01-01')}: {into.why}."
    for side, row in (("Moving in", into), ("Moving out", out)):
        if row.status == "few":
            return f"{side}: no date ({row.why})."
    return ""


def _doubt(result: AssessResult) -> str:
    other = result.verdict.may_be
    if other is None:
        return ""
    return f"The spot is not known well enough to rule out “{other}”."
