"""A cold event as words for a terminal."""

from __future__ import annotations

from collections.abc import Sequence

from climrisk.commands.event.result import EventResult, LimitMet, Outlook, PlantMet
from climrisk.commands.shared.facts import on_spot
from climrisk.core.days import day_in_words
from climrisk.core.quantities import DEGREES, DEGREES_APART, DIFFERENCE, TEMPERATURE
from climrisk.core.ranges import Band
from climrisk.plants.registry import short_name
from climrisk.render.answer import (
    Answer,
    Part,
    Rows,
    Words,
    day_of,
    days_between,
    listed_days,
    some,
)
from climrisk.render.display_units import day, number, temperature, temperatures
from climrisk.render.tables import table
from climrisk.render.text import weather_line

PLANT_HEADER = (
    "plant",
    "medium",
    "h below preferred",
    "h below tolerated",
    f"root {DEGREES}",
)
SPOT_HEADER = (
    "spot",
    f"lowest {DEGREES}",
    "when",
    f"warmed, {DEGREES_APART}/h",
    "unknown h",
)


def event_answer(result: EventResult) -> Answer:
    """Return how cold it was, what to expect of which plants, and what to do."""
    rows = [
        (words, _expected(found))
        for outlook, words in _OUTLOOKS.items()
        if (found := [p for p in result.plants if p.outlook == outlook])
    ]
    looks = [w.date for w in result.watch]
    todo = [
        ("Now", f"keep it shaded at {temperatures(12, 15)}, in moist air; cut nothing")
    ]
    if any(p.wetness == "wet" for p in result.plants):
        todo.append(("Water", "wet pots first: let them dry once, then sparingly"))
    else:
        todo.append(("Water", "let the medium dry once, then water sparingly"))
    dry = [short_name(p.label) for p in result.plants if p.must_not_dry]
    if dry:
        todo[-1] = (todo[-1][0], f"{todo[-1][1]}; never dry: {some(dry, 3)}")
    if looks:
        leaves, roots = looks[:-1] or looks, looks[-1]
        text = f"leaves on {listed_days(leaves)}"
        if len(looks) > 1:
            text += f"; roots on {day_of(roots)}"
        todo.append(("Look", text))
    parts: list[Part] = [Rows(rows, least=len(rows))]
    if any(p.outlook not in ("not too cold",) for p in result.plants) or not rows:
        parts.append(Rows(todo, least=3))
    return Answer(
        _event_headline(result),
        [
            *parts,
            *([Words(_understood(result), rank=2)] if _understood(result) else []),
        ],
        "hours, reports, care, sources",
        result.cautions,
        result.files,
    )


def _event_headline(result: EventResult) -> str:
    event = result.told
    days = days_between(event.first, event.last)
    known = [s for s in result.spots if s.lowest_c.mid is not None]
    if not known:
        return f"{days}: no temperature is known."
    coldest = min(known, key=lambda s: s.lowest_c.mid or 0.0)
    lowest = coldest.lowest_c.mid or 0.0
    possible = any((s.lowest_c.low or 0.0) < 0 for s in known)
    frost = "frost, " if lowest < 0 else "frost possible, " if possible else ""
    worst = next(
        (w for w in _OUTLOOKS if any(p.outlook == w for p in result.plants)), ""
    )
    expected = f"; {worst}" if worst else ""
    return (
        f"{days}: {frost}down to {temperature(lowest, 1)} "
        f"{on_spot(coldest.name, coldest.kind)}{expected}"
    )


def _understood(result: EventResult) -> str:
    """Return the words that were typed."""
    return f"As typed: {result.told.words}." if result.told.words else ""


def _expected(rows: Sequence[PlantMet]) -> str:
    """Return plants of one outlook, and the worst that they met."""
    names = some([f"{p.count} {short_name(p.label)}" for p in rows])
    limits = [(p, p.tolerated) for p in rows if p.tolerated is not None]
    hours = [
        (limit.hours.mid, limit.limit_c)
        for _, limit in limits
        if limit.hours.mid is not None and limit.hours.mid > 0
    ]
    if len(rows) == 1 and hours:
        return (
            f"{names}: {hours[0][0]:.0f} h below the {temperature(hours[0][1])} it "
            "tolerates"
        )
    if hours:
        low, high = min(h for h, _ in hours), max(h for h, _ in hours)
        many = (
            f"{high:.0f} h"
            if round(low) == round(high)
            else f"{low:.0f} to {high:.0f} h"
        )
        return f"{names}: {many} below what they tolerate"
    return names


def event_text(result: EventResult) -> str:
    """Return everything: the plants with the wet ones first, what to do and when."""
    parts = [result.sentence, "\n".join(outlook_lines(result))]
    parts.append(table(SPOT_HEADER, spot_rows(result)))
    if result.plants:
        parts.append(table(PLANT_HEADER, plant_rows(result)))
        parts.append("\n".join(p.sentence for p in result.plants))
    reports = report_lines(result)
    if reports:
        parts.append(
            "\n".join(["REPORTS, all of other plants in other hands", *reports])
        )
    parts.append("\n".join(["LOOK", *(f"  {line}" for line in watch_lines(result))]))
    parts.append("\n".join(["DO NOT", *(f"  {r.text}" for r in result.do_not)]))
    parts.append("\n".join(["DO", *(f"  {r.text}" for r in result.do)]))
    if result.sources:
        parts.append(
            "\n".join(["SOURCES", *(f"  {k}: {t}" for k, t in result.sources.items())])
        )
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    if result.weather is not None:
        parts.append(weather_line(result.weather))
    return "\n\n".join(parts)


#: How an outlook is printed, the worst first.
_OUTLOOKS: dict[Outlook, str] = {
    "expect damage": "Expect damage",
    "watch": "Watch",
    "cannot say": "Cannot say",
    "no damage reported": "No damage reported",
    "not too cold": "Not too cold",
}


def outlook_lines(result: EventResult) -> list[str]:
    """Return the plants by what to expect, the worst first."""
    return [
        f"{words}: {'; '.join(_name(p) for p in rows)}"
        for outlook, words in _OUTLOOKS.items()
        if (rows := [p for p in result.plants if p.outlook == outlook])
    ]


def spot_rows(result: EventResult) -> Sequence[Sequence[object]]:
    """Return the table of spots."""
    return [
        (
            s.name,
            band_words(s.lowest_c),
            s.lowest_at or "?",
            "?" if s.warming_k_per_h is None else number(DIFFERENCE, s.warming_k_per_h),
            "?" if s.unknown_hours is None else s.unknown_hours,
        )
        for s in result.spots
    ]


def plant_rows(result: EventResult) -> Sequence[Sequence[object]]:
    """Return the table of plants, wet ones first."""
    return [
        (
            _name(p),
            p.wetness or "?",
            limit_words(p.preferred),
            limit_words(p.tolerated),
            band_words(p.root_lowest_c),
        )
        for p in result.plants
    ]


def _name(row: PlantMet) -> str:
    return f"{row.count} {row.label}" if row.count > 1 else row.label


def limit_words(met: LimitMet | None) -> str:
    """Return hours below a limit, such as 7, 5 to 9, at least 7, at most 7."""
    if met is None:
        return "no limit known"
    low, mid, high = met.hours.low, met.hours.mid, met.hours.high
    if low is None:
        text = "?"
    elif high is None:
        text = f"at least {low:g}"
    elif mid is None:
        text = f"at most {high:g}"
    elif low == high:
        text = f"{mid:g}"
    else:
        text = f"{mid:g} ({low:g} to {high:g})"
    return f"{text} (< {temperature(met.limit_c)})"


def band_words(band: Band) -> str:
    """Return a band as its middle, with its ends where they differ."""
    if band.mid is None:
        return "?"
    if band.low == band.high:
        return number(TEMPERATURE, band.mid, 1)
    low, mid, high = (
        number(TEMPERATURE, v, 1) for v in (band.low, band.mid, band.high)
    )
    return f"{mid} ({low} to {high})"


def report_lines(result: EventResult) -> list[str]:
    """Return every report that a dose was compared with, once."""
    lines: dict[str, None] = {}
    for plant in result.plants:
        for r in plant.dose.reports:
            how = f"{r.nights} nights" if r.nights else ""
            if r.hours is not None:
                how = f"{how} of {r.hours:g} h" if how else f"{r.hours:g} h"
            how = f", {how}" if how else ""
            keys = ", ".join(r.sources) or r.basis
            lines[
                f"  {plant.plant}, {temperature(r.at_or_below_c)}{how}: {r.outcome}; "
                f"{r.told} "
                f"[{keys}]"
            ] = None
    return list(lines)


def watch_lines(result: EventResult) -> list[str]:
    """Return the days to look, and when marks were seen by the sources."""
    lines = [
        f"{day_in_words(w.date)} (day {w.after_d}): {w.what} ({w.why})"
        for w in result.watch
    ]
    seen: dict[str, list[str]] = {}
    for plant in result.plants:
        for s in plant.signs:
            text = f"{day(s.first)} to {day(s.last)}, {s.told} [{', '.join(s.sources)}]"
            seen.setdefault(text, []).append(plant.label)
    return lines + [
        f"Damage showed on such plants from {text}: " + "; ".join(dict.fromkeys(labels))
        for text, labels in seen.items()
    ]
