"""An assessment as words for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from climrisk.advice.chilling import RESTS
from climrisk.commands.assess.result import AssessResult
from climrisk.commands.shared.dates_result import Move
from climrisk.commands.shared.dates_text import read_as_lines
from climrisk.commands.shared.exposures_result import Chill, PerYear
from climrisk.commands.shared.light_text import dry_text, light_text
from climrisk.commands.shared.subject_result import LimitInfo, PlantInfo
from climrisk.commands.shared.wind_text import wind_text
from climrisk.core.defaults import DEFAULT_DIAMETER_CM, DEFAULT_MEDIUM, DEFAULT_POT
from climrisk.core.quantities import DEGREES, LENGTH, TEMPERATURE, Kind
from climrisk.core.wording import month_heads, plural
from climrisk.plants.model import limit_kind
from climrisk.render.answer import (
    Answer,
    Part,
    Rows,
    Words,
    month_spans,
    months_rows,
    sentence_case,
    spoken,
)
from climrisk.render.display_units import (
    day,
    difference,
    number,
    quantity,
    temperature,
    unit,
)
from climrisk.render.tables import table
from climrisk.render.text import as_sentence, percent, span, weather_text


def assess_answer(result: AssessResult, files: Sequence[str] = ()) -> Answer:
    """Return the verdict, the dates, the months, flowering and how sure it is."""
    found, plant = result.verdict, result.plant
    word = found.word.upper()
    if found.may_be is not None:
        word += f", perhaps {found.may_be.upper()}"
    lead = [_read_as(plant), _typed(result), *_lead(result)]
    parts: list[Part] = [Words(" ".join(text for text in lead if text))]
    if result.governed_by == "root_zone":
        roots = (
            "The roots decide: this pot and medium keep them colder than usual. Dates "
            "and months below are by air alone."
        )
        parts.append(Words(roots, rank=1))
    parts.append(Rows(_date_rows(result)))
    parts.append(months_rows([(int(m), s) for m, s in result.months.items()]))
    if result.flowering.word != "cannot say":
        flowering = f"Flowering: {result.flowering.word}; {result.flowering.reason}."
        parts.append(Words(flowering, rank=3))
    better = result.serving.words.split(". ")[0]
    if better.startswith("Better"):
        parts.append(Words(sentence_case(better), rank=2, tight=True))
    thrown = result.wind.toppling
    falls = None if thrown is None else thrown.expected_nights_per_year
    if falls is not None and falls >= 1:
        wind = f"The wind may tip the pot on about {plural(falls, 'night')} a year."
        parts.append(Words(wind, rank=4, tight=True))
    parts.append(Words(f"How sure: {_how_sure(result)}", rank=1, tight=True))
    return Answer(
        f"{plant.name} {result.spot.at}: {word}",
        parts,
        "hours, risks, light, sources",
        result.cautions,
        files,
    )


def _read_as(plant: PlantInfo) -> str:
    return "".join(read_as_lines(plant))


#: The pot where none is given.
_USUAL_POT = (DEFAULT_POT, DEFAULT_DIAMETER_CM, DEFAULT_MEDIUM)


def _typed(result: AssessResult) -> str:
    """Return limits and pot that were given, as they were understood."""
    own = [
        f"{name} {temperature(row.value)}"
        for name, row in result.plant.limits.items()
        if row is not None and row.basis == "yours" and not name.endswith("pct")
    ]
    texts = [f"Your limits: {', '.join(own)}."] if own else []
    pot = result.pot
    if (pot.kind, pot.diameter_cm, pot.medium) != _USUAL_POT:
        texts.append(
            f"Pot: {quantity(LENGTH, pot.diameter_cm)} {pot.kind}, {pot.medium}."
        )
    return " ".join(texts)


def _lead(result: AssessResult) -> list[str]:
    """Return where it is when, or why it does not suit, and what else is needed."""
    found = result.verdict
    rough = {
        "winters": "",
        "typical year": "Only a typical year, without extremes: a rough answer.",
        "far station": "The station is far away: a rough answer.",
    }[found.basis]
    if found.word in ("poor match", "cannot say"):
        return [rough, sentence_case("; ".join(found.reasons[:2]))]
    if found.word in ("suits", "suits with moves"):
        lead = "It can stay there all year."
    else:
        into, out = result.move_in, result.move_out
        if into.status == "date" and out.status == "date":
            free = f"from {spoken(out.month_day)} to {spoken(into.month_day)}"
        else:
            inside = set(found.months_in)
            free = f"in {month_spans([m for m in range(1, 13) if m not in inside])}"
        away = found.room_at or "indoors"
        if found.rooms_assumed:
            away += " (assumed)"
        lead = f"Outside {free}, {away} for the rest of the year."
    lamp = {c.words: c.words.removeprefix("with ") for c in found.conditions}
    more = [
        f"It needs {lamp[c.words]}." if c.kind == "light" else sentence_case(c.words)
        for c in found.conditions
    ]
    return [rough, lead, *more]


def _date_rows(result: AssessResult) -> list[tuple[str, str, str]]:
    if result.watch_from is not None and result.watch_until is not None:
        rows = [
            ("Watch from", result.watch_from),
            ("Watch until", result.watch_until),
        ]
    else:
        rows = [("Bring in by", result.move_in), ("Take out from", result.move_out)]
    north = next(iter(result.months)) == "7"
    out = [
        (name, spoken(row.month_day), f"{row.why}{_before_all(row, north=north)}")
        for name, row in rows
        if row.month_day is not None and result.verdict.word != "poor match"
    ]
    if not out and result.move_in.status in ("few", "typical year"):
        out.append(("Dates", "none", result.move_in.why))
    levels = {r.once_in_winters: r.lowest_c for r in result.winters.tail.levels}
    band = levels.get(10)
    if band is not None and band.mid is not None:
        span_words = (
            "once in 10 winters (most likely "
            f"{number(TEMPERATURE, band.low, 1)} to {temperature(band.high, 1)})"
        )
        out.append(("Coldest night", f"{temperature(band.mid, 1)}", span_words))
    elif result.air.lowest_c.mid is not None:
        out.append(
            ("Coldest night", f"{temperature(result.air.lowest_c.mid, 1)}", "on record")
        )
    return out


def _before_all(row: Move, *, north: bool) -> str:
    """Return why a date is outside those of all winters, where single nights decide."""
    first, last = row.range.earliest, row.range.latest
    if row.governed_by != "harmful nights" or None in (first, last, row.month_day):
        return ""
    start = 7 if north else 1

    def place(day: str | None) -> tuple[int, str]:
        assert day is not None
        return (int(day[:2]) - start) % 12, day[3:]

    if place(first) <= place(row.month_day) <= place(last):
        return ""
    return "; outside the dates on record, for the spot may be colder than assumed"


def _how_sure(result: AssessResult) -> str:
    spot = result.spot
    weak = {row.what: row.words for row in result.weak}
    if "spot prior" in weak and spot.still_offset_k is not None:
        mean, sd = spot.still_offset_k
        side = "warmer" if mean >= 0 else "colder"
        how = (
            f"{difference(abs(mean), 1)} {side} than"
            if round(mean, 1)
            else "as warm as"
        )
        return (
            f"the spot is assumed {how} the station on calm nights (give or take "
            f"{difference(sd, 1)}); a logger there for four weeks would settle it."
        )
    if weak:
        return f"{next(iter(weak.values()))}."
    return f"it rests on {plural(result.winters.n, 'winter')}."


def assess_text(result: AssessResult) -> str:
    """Return an assessment in full: sentence, months, dates, numbers, sources."""
    parts = [
        f"{result.verdict.word.upper()}\n{result.verdict.sentence}",
        *read_as_lines(result.plant),
        *(
            ["\n".join(f"- {r}" for r in result.verdict.reasons[1:])]
            if len(result.verdict.reasons) > 1
            else []
        ),
        _months(result),
        _dates(result),
        _by_risk(result),
        _chill(result),
        _heat(result),
        dry_text(result.dryness),
        wind_text(result.wind),
        light_text(result.light),
        evidence_text(result),
        _plant(result),
        _spot(result),
        "\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions),
        weather_text(result.weather),
    ]
    return "\n\n".join(part for part in parts if part)


def evidence_text(result: AssessResult) -> str:
    """Return what it would lack, what is weak, what would change, what is better."""
    flowering = result.flowering
    parts = [f"Flowering: {flowering.word}; {flowering.reason}."]
    if result.weather.kind != "typical":
        parts.append(result.dose.words)
    if result.wanted is not None:
        parts.append(result.wanted.sentence)
        if result.wanted.belief:
            parts.append(as_sentence(result.wanted.belief))
    if result.lacks:
        parts.append("It would lack " + "; ".join(r.words for r in result.lacks) + ".")
    parts.append(result.serving.words)
    if result.weak:
        parts.append("Weak: " + "; ".join(r.words for r in result.weak) + ".")
    if result.would_change.words:
        change = "; ".join(result.would_change.words)
        parts.append(f"What would change this: {change}.")
    return "\n".join(parts)


def _months(result: AssessResult) -> str:
    months = list(result.months)
    text = table(
        ["", *month_heads(months)],
        [("state", *(result.months[m] for m in months)), *night_rows(result)],
    )
    notes = [row.note for row in result.month_details.values() if row.note]
    if result.months_basis == "typical year":
        notes.append("in a typical year")
    by_night = result.wanted is not None and result.wanted.counted == "night"
    if result.plant.rest in RESTS or by_night:
        notes.append("cold nights without those of its rest, or that it needs")
    return text + (f"\n({'; '.join(notes)})" if notes else "")


def night_rows(result: AssessResult) -> list[tuple[str, ...]]:
    """Return how many nights of each month are harmful and cold."""
    rows = result.month_details.values()
    shares = (
        "years with a harmful night",
        *(percent(r.share_with_harmful_night) for r in rows),
    )
    cold = ("cold nights", *(_count(r.cold_nights) for r in rows))
    if result.months_basis == "typical year":
        harmful = ("harmful nights", *(_count(r.harmful_nights) for r in rows))
        return [harmful, cold]
    return [shares, cold]


def _count(nights: float | None) -> str:
    return "?" if nights is None else f"{nights:.0f}"


def _dates(result: AssessResult) -> str:
    rows = [("Move in", result.move_in), ("Move out", result.move_out)]
    if result.watch_from is not None and result.watch_until is not None:
        rows = [
            ("Watch from", result.watch_from),
            ("Watch until", result.watch_until),
        ]
    lines = [f"{name}: {_date(row)}" for name, row in rows]
    usual = result.usual
    if usual.first_cold_night is not None and usual.last_cold_night is not None:
        lines.append(
            f"The first night below what it prefers usually comes on "
            f"{spoken(usual.first_cold_night)}, the last on "
            f"{spoken(usual.last_cold_night)}."
        )
    return "\n".join(lines)


def _date(row: Move) -> str:
    text = "no date"
    if row.month_day is not None:
        text = f"{spoken(row.month_day)} (next {day(row.next_date)})"
    if row.range.earliest is not None and row.range.latest is not None:
        text += f"; the winters' own dates run from {spoken(row.range.earliest)}"
        text += f" to {spoken(row.range.latest)}"
    return f"{text}; {row.why}"


def _by_risk(result: AssessResult) -> str:
    if not result.risk_curve.by_risk:
        return ""
    header = ["risk", "inside by", "between", "out from", "between"]
    return table(header, risk_rows(result))


def risk_rows(result: AssessResult) -> list[tuple[str, str, str, str, str]]:
    """Return both dates at risks from 1 to 50 %, with the days each may lie between."""
    return [
        (
            f"{r.risk:.0%}",
            _or_none(r.move_in),
            _between(r.move_in_earliest, r.move_in_latest),
            _or_none(r.move_out),
            _between(r.move_out_earliest, r.move_out_latest),
        )
        for r in result.risk_curve.by_risk
    ]


def _or_none(month_day: str | None) -> str:
    return "no date" if month_day is None else spoken(month_day)


def _between(first: str | None, last: str | None) -> str:
    if first is None and last is None:
        return "?"
    return " to ".join("?" if d is None else spoken(d) for d in (first, last))


def _chill(result: AssessResult) -> str:
    text = table(COLD_HEADER, cold_rows(result))
    text += "\n\n" + table(EXTREME_HEADER, extreme_rows(result))
    winters = result.winters
    text += f"\nJudged by {result.governed_by.replace('_', ' ')}."
    if winters.n:
        text += f" {winters.n} winters count"
        if winters.with_cold_night is not None:
            text += f", {span(winters.with_cold_night, 0)} with a cold night"
        if winters.with_harmful_night is not None:
            text += f", {span(winters.with_harmful_night, 0)} with a harmful one"
        text += "."
    tail = winters.tail
    if tail.levels:
        once = ", ".join(
            f"{span(r.lowest_c, 1, TEMPERATURE)} {unit(TEMPERATURE)} once in "
            f"{r.once_in_winters}"
            for r in tail.levels
            if r.once_in_winters in (10, 30)
        )
        text += f" Coldest night: {once} winters."
    if winters.drift is not None and winters.drift.kind != "none":
        text += f" Mind that {winters.drift.words}."
    return text


COLD_HEADER = (
    "hours below",
    "where",
    "in a typical year",
    "in the worst year",
    "in the whole record",
)
EXTREME_HEADER = (
    "in the whole record",
    f"lowest {DEGREES}",
    "nights below preferred in a row",
)


def _zones(result: AssessResult) -> list[tuple[str, Chill]]:
    return [
        ("air", result.air),
        ("leaf", result.leaf),
        ("root zone", result.root_zone),
    ]


def cold_rows(result: AssessResult) -> list[tuple[str, str, str, str, str]]:
    """Return hours below each limit, for air, leaf and root zone."""
    rows = []
    for kind in ("preferred", "tolerated"):
        limit = result.plant.limits[kind]
        if limit is None:
            continue
        for name, part in _zones(result):
            year = getattr(part, f"{kind}_per_growing_year")
            whole = span(getattr(part, f"hours_below_{kind}"), 0)
            label = f"{temperature(limit.value)}, {kind}"
            typical, worst = _year_cells(year)
            if result.months_basis == "typical year":
                worst = "–"  # it is the only one
            rows.append((label, name, typical, worst, whole))
    return rows


def _year_cells(year: PerYear | None) -> tuple[str, str]:
    if year is None or year.typical is None or year.worst is None:
        return "?", "?"
    return f"{year.typical:,.0f}", f"{year.worst:,.0f} ({year.worst_label})"


def _worst(year: PerYear, result: AssessResult) -> str:
    if result.months_basis == "typical year":
        return ""
    return f", {year.worst:g} in the worst ({year.worst_label})"


def extreme_rows(result: AssessResult) -> list[tuple[str, str, str]]:
    """Return the lowest temperature and the longest run of cold nights."""
    return [
        (name, span(part.lowest_c, 1, TEMPERATURE), span(part.longest_run_nights, 0))
        for name, part in _zones(result)
    ]


def _heat(result: AssessResult) -> str:
    heat = result.heat
    lines = []
    if heat.hours_above_limit is not None and heat.per_growing_year is not None:
        year = heat.per_growing_year
        lines.append(
            f"Heat: {year.typical:g} hours above {temperature(heat.limit_c)} in a "
            "typical "
            f"growing year{_worst(year, result)}."
        )
    nights = heat.warm_nights_per_growing_year
    if nights is not None:
        lines.append(
            f"Warm nights: {nights.typical:g} stay above "
            f"{temperature(heat.warm_night_c)} in a "
            f"typical growing year{_worst(nights, result)}."
        )
    drop = result.night_drop
    if drop.mean_k is not None:
        wanted = (
            ""
            if drop.wanted_k is None
            else f"; its sources ask for {difference(drop.wanted_k)}"
        )
        lines.append(f"Night drop: {difference(drop.mean_k, 1)} on average{wanted}.")
        sudden = drop.sudden_nights_per_growing_year
        if sudden is not None and sudden.worst:
            lines[-1] += (
                f" Nights {difference(drop.sudden_k)} colder than the week before: "
                f"{sudden.typical:g} in a typical year, {sudden.worst:g} in the worst."
            )
        if drop.needed is False:
            lines[-1] += f" {as_sentence(drop.words)}"
    return "\n".join(lines)


_LIMIT_WORDS = {
    "preferred": "prefers nights of at least",
    "tolerated": "tolerates nights down to",
    "ceiling": "upper limit",
    "advised_top": "advised day maximum",
    "warm_night": "declines with nights above",
    "light_floor": "needs daily light of",
    "humidity_low_pct": "humidity",
}


def _plant(result: AssessResult) -> str:
    rows = [
        _limit(_LIMIT_WORDS[k], row, limit_kind(k))
        for k, row in result.plant.limits.items()
        if row is not None
    ]
    own = " (your own profile)" if result.plant.own else ""
    label = result.plant.label
    article = "an" if label[:1] in "aeiou" else "a"
    return (
        f"{result.plant.name}{own}, sold as {article} {label} grower: "
        + "; ".join(rows)
        + "."
    )


def _limit(word: str, row: LimitInfo | None, kind: Kind) -> str:
    if row is None:
        return f"{word} not stated"
    where = ", ".join(row.sources) if row.sources else row.basis
    return f"{word} {quantity(kind, row.value)} ({where})"


def _spot(result: AssessResult) -> str:
    spot, pot = result.spot, result.pot
    lines = [
        f"Spot: {spot.words} ({spot.kind}; {spot.basis}). Pot: "
        f"{quantity(LENGTH, pot.diameter_cm)} "
        f"{pot.kind}, {pot.medium}, cools with the air in about "
        f"{pot.time_constant_h:.1f} h."
    ]
    lines += [f"Note: {note}." for note in spot.notes]
    return "\n".join(lines)
