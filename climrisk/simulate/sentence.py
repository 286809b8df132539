"""The sentence that a grower reads first. No figure in it that is not in the result."""

from __future__ import annotations

from climrisk.advice.verdict import TOO_HOT
from climrisk.result.assess import AssessResult, Move
from climrisk.seasons import MONTH_NAMES


def assess_sentence(result: AssessResult) -> str:
    """Return the verdict as one or two sentences to act on."""
    word = result.verdict.word
    name = result.plant.name
    at = result.spot.at
    lead = {
        "suits": f"{name} can stay {at} all year",
        "suits with moves": f"{name} can live {at} if you move it when needed",
        "indoors in winter": f"{name} can summer {at} and winters indoors, "
        f"{result.verdict.indoor_words}",
        "poor match": f"{name} is a poor match for {result.spot.words}",
        "cannot say": f"Whether {name} suits {result.spot.words} cannot be said from "
        "this weather",
    }[word]
    heat, dates = _heat(result), _dates(result)
    # Where heat alone decides, its numbers are the reason.
    if _too_hot(result):
        parts = [f"{lead}: {heat}", dates]
    else:
        parts = [lead + _why(result), dates, heat]
    return " ".join(part for part in parts if part)


def _too_hot(result: AssessResult) -> bool:
    reasons = result.verdict.reasons
    return bool(reasons) and reasons[0].startswith(TOO_HOT)


def _why(result: AssessResult) -> str:
    reasons = result.verdict.reasons
    return f": {reasons[0]}." if reasons else "."


def _dates(result: AssessResult) -> str:
    into, out = result.move_in, result.move_out
    limit = result.plant.limits["preferred"]
    if into.status == "date" and out.status == "date" and limit is not None:
        return (
            f"To keep it from nights below {limit.value:g} °C, have it inside by the "
            f"evening of {spoken(into)} (risk {into.risk:.0%} of years) and out again "
            f"from {spoken(out)} ({out.risk:.0%})."
        )
    for side, row in (("Moving in", into), ("Moving out", out)):
        if row.status in ("few", "too rare", "always"):
            return f"{side}: no date, because {row.why}."
    return ""


def _heat(result: AssessResult) -> str:
    heat = result.heat
    if heat.met is not False:
        return ""
    warm = heat.warm_nights_per_growing_year
    hours = heat.per_growing_year
    parts = []
    if warm is not None and warm.typical:
        parts.append(f"{warm.typical:,.0f} nights stay above {heat.warm_night_c:g} °C")
    if hours is not None and hours.typical:
        parts.append(f"{hours.typical:,.0f} hours rise above {heat.limit_c:g} °C")
    if not parts:
        return ""
    told = f"{' and '.join(parts)} in a typical year"
    if _too_hot(result):
        return f"{TOO_HOT}, {told}."
    passed = f"Its heat limit is passed: {told}"
    if result.verdict.word == "poor match":
        return f"{passed}."
    return f"{passed}; give it shade and moving air then."


def spoken(row: Move) -> str:
    """Return a date as words, such as 12 October."""
    if row.month_day is None:
        return "no date"
    month, day = row.month_day.split("-")
    return f"{int(day)} {MONTH_NAMES[int(month) - 1]}"
