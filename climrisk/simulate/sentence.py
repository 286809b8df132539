"""The sentence that a grower reads first. No figure in it that is not in the result."""

from __future__ import annotations

from climrisk.bands import Band
from climrisk.result.assess import AssessResult, Move
from climrisk.seasons import MONTH_NAMES


def assess_sentence(result: AssessResult) -> str:
    """Return the verdict as one or two sentences to act on."""
    word = result.verdict.word
    name = result.plant.name
    where = result.spot.words
    lead = {
        "suits": f"{name} can stay on {where} all year",
        "suits with moves": f"{name} can live on {where} if you carry it in for the "
        "few cold spells",
        "indoors in winter": f"{name} can summer on {where} and winters indoors",
        "poor match": f"{name} is a poor match for {where}",
        "cannot say": f"Whether {name} suits {where} cannot be said from this weather",
    }[word]
    parts = [lead + _why(result)]
    dates = _dates(result)
    if dates:
        parts.append(dates)
    heat = _heat(result)
    if heat:
        parts.append(heat)
    return " ".join(parts)


def _why(result: AssessResult) -> str:
    reasons = result.verdict.reasons
    return f": {reasons[0]}." if reasons else "."


def _dates(result: AssessResult) -> str:
    into, out = result.move_in, result.move_out
    limit = result.plant.limits["preferred"]
    if into.status == "date" and out.status == "date" and limit is not None:
        return (
            f"To keep it from nights below {limit.value:g} °C in all but "
            f"{result.risk:.0%} of years, have it inside by the evening of "
            f"{spoken(into)} and out again from {spoken(out)}."
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
        parts.append(f"{warm.typical:.0f} nights stay above {heat.warm_night_c:g} °C")
    if hours is not None and hours.typical:
        parts.append(f"{hours.typical:.0f} hours rise above {heat.limit_c:g} °C")
    return (
        f"Its heat limit is passed: {' and '.join(parts)} in a typical year."
        if parts
        else ""
    )


def spoken(row: Move) -> str:
    """Return a date as words, such as 12 October."""
    if row.month_day is None:
        return "no date"
    month, day = row.month_day.split("-")
    return f"{int(day)} {MONTH_NAMES[int(month) - 1]}"


def between(band: Band | None, unit: str) -> str:
    """Return a band in plain words."""
    if band is None or band.low is None or band.mid is None or band.high is None:
        return "unknown"
    if round(band.low) == round(band.high):
        return f"{band.mid:,.0f} {unit}"
    return f"{band.mid:,.0f} {unit} (between {band.low:,.0f} and {band.high:,.0f})"
