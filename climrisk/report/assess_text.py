"""An assessment as words for a terminal."""

from __future__ import annotations

from climrisk.bands import Band
from climrisk.report.light_text import dry_text, light_text
from climrisk.report.tables import table
from climrisk.report.text import as_sentence, weather_text
from climrisk.report.wind_text import wind_text
from climrisk.result.assess import (
    AssessResult,
    Chill,
    Limit,
    Move,
    PerYear,
    PlantInfo,
)
from climrisk.seasons import MONTH_NAMES


def assess_text(result: AssessResult) -> str:
    """Return an assessment as text: sentence, months, dates, numbers, sources."""
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


def read_as_lines(plant: PlantInfo) -> list[str]:
    """Return that the answer is for another name than the one typed; else nothing."""
    if plant.read_as is None:
        return []
    return [f'"{plant.asked.strip()}" read as {plant.read_as}.']


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
        ["", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        [("state", *(result.months[m] for m in months)), *night_rows(result)],
    )
    notes = [row.note for row in result.month_details.values() if row.note]
    if result.months_basis == "typical year":
        notes.append("in a typical year")
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


def percent(share: float | None) -> str:
    """Return a share as per cent, or a question mark for unknown."""
    return "?" if share is None else f"{100 * share:.0f} %"


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
            f"{_spoken(usual.first_cold_night)}, the last on "
            f"{_spoken(usual.last_cold_night)}."
        )
    return "\n".join(lines)


def _date(row: Move) -> str:
    text = "no date"
    if row.month_day is not None:
        text = f"{_spoken(row.month_day)} (next {row.next_date})"
    if row.range.earliest is not None and row.range.latest is not None:
        text += f"; the winters' own dates run from {_spoken(row.range.earliest)}"
        text += f" to {_spoken(row.range.latest)}"
    return f"{text}; {row.why}"


def _spoken(month_day: str) -> str:
    month, day = month_day.split("-")
    return f"{int(day)} {MONTH_NAMES[int(month) - 1]}"


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
    return "no date" if month_day is None else _spoken(month_day)


def _between(first: str | None, last: str | None) -> str:
    if first is None and last is None:
        return "?"
    return " to ".join("?" if d is None else _spoken(d) for d in (first, last))


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
            f"{span(r.lowest_c, 1)} °C once in {r.once_in_winters}"
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
EXTREME_HEADER = ("in the whole record", "lowest °C", "nights below preferred in a row")


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
            label = f"{limit.value:g} °C, {kind}"
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
        (name, span(part.lowest_c, 1), span(part.longest_run_nights, 0))
        for name, part in _zones(result)
    ]


def span(band: Band | None, digits: int) -> str:
    """Return a band as mid (low to high); unknown as a question mark."""
    if band is None or band.low is None or band.mid is None or band.high is None:
        return "?"
    low, mid, high = (f"{v:,.{digits}f}" for v in (band.low, band.mid, band.high))
    return mid if low == high else f"{mid} ({low} to {high})"


def _heat(result: AssessResult) -> str:
    heat = result.heat
    lines = []
    if heat.hours_above_limit is not None and heat.per_growing_year is not None:
        year = heat.per_growing_year
        lines.append(
            f"Heat: {year.typical:g} hours above {heat.limit_c:g} °C in a typical "
            f"growing year{_worst(year, result)}."
        )
    nights = heat.warm_nights_per_growing_year
    if nights is not None:
        lines.append(
            f"Warm nights: {nights.typical:g} stay above {heat.warm_night_c:g} °C in a "
            f"typical growing year{_worst(nights, result)}."
        )
    drop = result.night_drop
    if drop.mean_k is not None:
        wanted = (
            ""
            if drop.wanted_k is None
            else f"; its sources ask for {drop.wanted_k:g} °C"
        )
        lines.append(f"Night drop: {drop.mean_k:.1f} °C on average{wanted}.")
        sudden = drop.sudden_nights_per_growing_year
        if sudden is not None and sudden.worst:
            lines[-1] += (
                f" Nights {drop.sudden_k:g} °C colder than the week before: "
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
_LIMIT_UNITS = {"humidity_low_pct": "%", "light_floor": "mol/m²"}


def _plant(result: AssessResult) -> str:
    rows = [
        _limit(_LIMIT_WORDS[k], row, _LIMIT_UNITS.get(k, "°C"))
        for k, row in result.plant.limits.items()
    ]
    own = " (your own profile)" if result.plant.own else ""
    label = result.plant.label
    article = "an" if label[:1] in "aeiou" else "a"
    return (
        f"{result.plant.name}{own}, sold as {article} {label} grower: "
        + "; ".join(rows)
        + "."
    )


def _limit(word: str, row: Limit | None, unit: str) -> str:
    if row is None:
        return f"{word} not stated"
    where = ", ".join(row.sources) if row.sources else row.basis
    return f"{word} {row.value:g} {unit} ({where})"


def _spot(result: AssessResult) -> str:
    spot, pot = result.spot, result.pot
    lines = [
        f"Spot: {spot.words} ({spot.kind}; {spot.basis}). Pot: {pot.diameter_cm:g} cm "
        f"{pot.kind}, {pot.medium}, follows the air within about "
        f"{pot.time_constant_h:.1f} h."
    ]
    lines += [f"Note: {note}." for note in spot.notes]
    return "\n".join(lines)
