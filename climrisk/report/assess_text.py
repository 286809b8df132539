"""An assessment as words for a terminal."""

from __future__ import annotations

from climrisk.bands import Band
from climrisk.report.tables import table
from climrisk.report.text import weather_text
from climrisk.result.assess import AssessResult, Chill, Limit, Move
from climrisk.seasons import MONTH_NAMES


def assess_text(result: AssessResult) -> str:
    """Return an assessment as text: sentence, months, dates, numbers, sources."""
    parts = [
        f"{result.verdict.word.upper()}\n{result.verdict.sentence}",
        *(
            ["\n".join(f"- {r}" for r in result.verdict.reasons[1:])]
            if len(result.verdict.reasons) > 1
            else []
        ),
        _months(result),
        _dates(result),
        _chill(result),
        _heat(result),
        _plant(result),
        _spot(result),
        "\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions),
        weather_text(result.weather),
    ]
    return "\n\n".join(part for part in parts if part)


def _months(result: AssessResult) -> str:
    months = list(result.months)
    shares = result.month_shares
    text = table(
        ["", *(MONTH_NAMES[int(m) - 1][:3] for m in months)],
        [
            ("state", *(result.months[m] for m in months)),
            (
                "years with a cold night",
                *(percent(shares[m].share_with_cold_night) for m in months),
            ),
        ],
    )
    return text + (
        "\n(in a typical year)" if result.months_basis == "typical year" else ""
    )


def percent(share: float | None) -> str:
    """Return a share as per cent, or a question mark for unknown."""
    return "?" if share is None else f"{100 * share:.0f} %"


def _dates(result: AssessResult) -> str:
    return "\n".join(
        f"{name}: {_date(row)}"
        for name, row in (("Move in", result.move_in), ("Move out", result.move_out))
    )


def _date(row: Move) -> str:
    text = "no date"
    if row.month_day is not None:
        month, day = row.month_day.split("-")
        text = f"{int(day)} {MONTH_NAMES[int(month) - 1]} (next {row.next_date})"
    if row.range.earliest is not None:
        text += f"; the winters' own dates run from {row.range.earliest}"
        text += f" to {row.range.latest}"
    return f"{text}; {row.why}"


def _chill(result: AssessResult) -> str:
    rows = [
        (name, *_cells(part))
        for name, part in (
            ("air", result.air),
            ("leaf", result.leaf),
            ("root zone", result.root_zone),
        )
    ]
    header = [
        "",
        "hours below preferred",
        "hours below tolerated",
        "lowest °C",
        "nights in a row",
    ]
    winters = result.winters
    text = table(header, rows) + f"\nJudged by {result.governed_by.replace('_', ' ')}."
    if winters.n:
        text += f" {winters.n} winters count"
        if winters.with_cold_night is not None:
            text += f", {span(winters.with_cold_night, 0)} with a cold night"
        if winters.with_damaging_night is not None:
            text += f", {span(winters.with_damaging_night, 0)} with a damaging one"
        text += "."
    if result.air.hours_below_tolerated is None:
        text += (
            " " + result.air.unknown_because["hours_below_tolerated"].capitalize() + "."
        )
    return text


def _cells(part: Chill) -> tuple[str, str, str, str]:
    return (
        span(part.hours_below_preferred, 0),
        span(part.hours_below_tolerated, 0),
        span(part.lowest_c, 1),
        span(part.longest_run_nights, 0),
    )


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
            f"growing year, {year.worst:g} in the worst ({year.worst_label})."
        )
    nights = heat.warm_nights_per_growing_year
    if nights is not None:
        lines.append(
            f"Warm nights: {nights.typical:g} stay above {heat.warm_night_c:g} °C in a "
            f"typical growing year, {nights.worst:g} in the worst "
            f"({nights.worst_label})."
        )
    drop = result.night_drop
    if drop.mean_k is not None:
        wanted = (
            ""
            if drop.wanted_k is None
            else f"; its sources ask for {drop.wanted_k:g} K"
        )
        lines.append(f"Night drop: {drop.mean_k:.1f} K on average{wanted}.")
    return "\n".join(lines)


_LIMIT_WORDS = {
    "preferred": "preferred night minimum",
    "tolerated": "tolerated",
    "hot_limit": "advised top",
    "warm_night": "warm-night limit",
    "humidity_low_pct": "humidity",
}


def _plant(result: AssessResult) -> str:
    rows = [
        _limit(_LIMIT_WORDS[k], row, "%" if k == "humidity_low_pct" else "°C")
        for k, row in result.plant.limits.items()
    ]
    own = " (your own profile)" if result.plant.own else ""
    return (
        f"{result.plant.name}{own}, sold as a {result.plant.label} grower: "
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
