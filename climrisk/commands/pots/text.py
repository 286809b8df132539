"""Pots and media compared, as words for a terminal."""

from __future__ import annotations

from climrisk.commands.pots.result import NightCase, PotRow, PotsResult
from climrisk.core.quantities import (
    DEGREES,
    DEGREES_APART,
    DIFFERENCE,
    LENGTH,
    MASS,
    SPEED,
    TEMPERATURE,
)
from climrisk.core.ranges import Band
from climrisk.pot.drying import MOST_D
from climrisk.render.answer import Answer, Part, Rows, Words
from climrisk.render.display_units import (
    difference,
    number,
    quantity,
    temperature,
    unit,
)
from climrisk.render.tables import table
from climrisk.render.text import span, weather_text


def pots_answer(result: PotsResult) -> Answer:
    """Return whether pots differ by night, and what else to choose by."""
    clear = [r for r in result.pots if r.differs in ("warmer", "colder")]
    alike = [r for r in result.pots if r.differs == "no clear difference"]
    rows = [
        (
            short_pot(r, result),
            span(r.lowest_c, 1, TEMPERATURE),
            _days(r.dry_after_d["winter"]),
            "?"
            if r.wet_and_cold_hours_per_year is None
            or r.wet_and_cold_hours_per_year.mid is None
            else f"{r.wet_and_cold_hours_per_year.mid:,.0f}",
        )
        for r in result.pots
    ]
    head = ("", f"coldest roots, {DEGREES}", "dry in, days", "wet, cold, h")
    parts: list[Part] = [Rows(rows, header=head, rank=1, least=4, what="more pot")]
    if clear:
        parts.append(Words(_difference(clear, result), rank=1))
    texts = "Best first by usual winter nights. Dry in: winter, by evaporation alone"
    if any(r.reservoir for r in result.pots):
        texts += " (self-watering: reservoir empty)"
    limit = result.wet_and_cold_below_c
    texts += f". Wet and cold: a year, roots below {temperature(limit)}."
    parts.append(Words(texts, rank=0, tight=True))
    return Answer(
        _pots_headline(result, clear, alike),
        parts,
        "each degree, weights, nights",
        result.cautions,
        result.files,
    )


def short_pot(pot: PotRow, result: PotsResult) -> str:
    """Return a pot by what tells it from the others."""
    sizes = len({r.diameter_cm for r in result.pots}) > 1
    kinds = len({r.pot for r in result.pots}) > 1
    media = len({r.medium for r in result.pots}) > 1
    parts = [f"{quantity(LENGTH, pot.diameter_cm)}"] if sizes else []
    parts += [pot.pot] if kinds or not (sizes or media) else []
    text = " ".join(parts)
    return ", ".join(t for t in (text, pot.medium if media else "") if t)


def _pots_headline(result: PotsResult, clear: list[PotRow], alike: list[PotRow]) -> str:
    if len(result.pots) == 1:
        band = result.pots[0].lowest_c
        return (
            f"Coldest roots {result.spot_at}: {span(band, 1, TEMPERATURE)} "
            f"{unit(TEMPERATURE)}"
        )
    usual = f"{len(result.pots)} usual pots" if result.usual_set else ""
    if not clear:
        between = f" between {usual}" if usual else ""
        return (
            f"No clear difference by night{between} {result.spot_at}: choose by how "
            "fast it should dry."
        )
    for part in ("pot", "medium"):
        names = {getattr(r, part) for r in clear}
        rest = {getattr(r, part) for r in result.pots if r not in clear}
        words = {r.differs for r in clear}
        if alike and len(names) == len(words) == 1 and not names & rest:
            name = names.pop()
            lead = f"Of {usual} {name}" if usual else name.capitalize()
            return (
                f"{lead} is {words.pop()} by night {result.spot_at}; the others make "
                "no clear difference."
            )
    warmest = short_pot(result.pots[0], result)
    coldest = short_pot(result.pots[-1], result)
    of = f" of {usual}" if usual else ""
    return f"Warmest roots{of} {result.spot_at}: {warmest}; coldest: {coldest}"


def _difference(clear: list[PotRow], result: PotsResult) -> str:
    """Return the largest clear difference and why."""
    row = max(clear, key=lambda r: abs(r.warmer_k.mid or 0.0))
    mid = abs(row.warmer_k.mid or 0.0)
    text = (
        f"{short_pot(row, result)} is {difference(mid, 1)} {row.differs} on winter "
        "nights than "
        f"{result.reference.replace('-', ' ')}: {row.reason}."
    )
    return text[:1].upper() + text[1:]


def pots_text(result: PotsResult) -> str:
    """Return in full sentence, table, reasons and the worst nights."""
    parts = [
        result.sentence,
        table(CHOICE_HEADER, [choice(r) for r in result.pots]),
        "\n".join(water_lines(result)),
        table(header(result), [row(r) for r in result.pots]),
        "\n".join(why(result)),
    ]
    nights = night_rows(result)
    if nights:
        parts.append(table(NIGHT_HEADER, nights))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    parts.append(weather_text(result.weather))
    return "\n\n".join(parts)


CHOICE_HEADER = (
    "pot",
    f"coldest root zone on record, {DEGREES}",
    "dry after, days in summer",
    "in winter",
    "wet and cold, hours a year",
)
NIGHT_HEADER = (
    "pot",
    "calm night",
    f"air {DEGREES}",
    f"roots {DEGREES}",
    "windy night",
    f"air {DEGREES}",
    f"roots {DEGREES}",
)


def label(pot: PotRow) -> str:
    """Return a pot with its medium in a few words."""
    return f"{quantity(LENGTH, pot.diameter_cm)} {pot.pot}, {pot.medium}"


def choice(pot: PotRow) -> list[str]:
    """Return what growers choose by: coldest roots, drying, wet and cold hours."""
    wet = pot.wet_and_cold_hours_per_year
    return [
        label(pot),
        span(pot.lowest_c, 1, TEMPERATURE),
        *(_days(pot.dry_after_d[season]) for season in ("summer", "winter")),
        "?" if wet is None else span(wet, 0),
    ]


def _days(band: Band) -> str:
    if band.mid is None or band.low is None or band.high is None:
        return "?"
    low, mid, high = (f"{v:.0f}" for v in (band.low, band.mid, band.high))
    more = "+" if band.high >= MOST_D else ""
    if low == high:
        return f"{mid}{more}"
    return f"{mid}{'+' if band.mid >= MOST_D else ''} ({low}-{high}{more})"


def water_lines(result: PotsResult) -> list[str]:
    """Return what dry, wet and cold mean in the table."""
    lines = [
        "Dry after: from just watered, by evaporation alone; a plant in growth drinks "
        "and dries it sooner. An estimate.",
        f"Wet and cold: medium wetter than damp and roots below "
        f"{temperature(result.wet_and_cold_below_c)}.",
    ]
    every = {r.watered_every_d for r in result.pots if r.watered_every_d is not None}
    if every:
        days = ", ".join(f"{d:g}" for d in sorted(every))
        lines[-1] += f" Watered every {days} days."
    if any(r.reservoir for r in result.pots):
        lines.append(
            "Self-watering: days until the reservoir is empty; the medium stays wet."
        )
    return lines


def why(result: PotsResult) -> list[str]:
    """Return a line for each pot that differs, and what ranks them differently."""
    clear = [r for r in result.pots if r.differs in ("warmer", "colder")]
    alike = [r for r in result.pots if r.differs == "no clear difference"]
    lines = [f"{label(r)}: {r.differs}, {r.reason}." for r in clear]
    if alike:
        names = "; ".join(label(r) for r in alike)
        lines.append(f"No clear difference from {result.reference}: {names}.")
    if result.nights_against_hours is not None:
        lines.append(result.nights_against_hours)
    return lines


def header(result: PotsResult) -> list[str]:
    """Return the names of the columns."""
    limits = list(result.pots[0].hours_below)
    return [
        "pot",
        "cools with the air in, h",
        "daily swing",
        "later by, h",
        f"winter nights, {DEGREES_APART} warmer",
        f"lowest on record, {DEGREES}",
        *(f"hours below {temperature(float(limit))}, whole record" for limit in limits),
        f"weight, {unit(MASS)}",
        f"falls at, {unit(SPEED)}",
    ]


def row(pot: PotRow) -> list[str]:
    """Return the cells of one pot."""
    return [
        label(pot),
        f"{pot.time_constant_h:.1f}",
        f"{100 * pot.daily_amplitude_ratio:.0f} %",
        f"{pot.daily_lag_h:.1f}",
        span(pot.warmer_k, 1, DIFFERENCE),
        span(pot.lowest_c, 1, TEMPERATURE),
        *(span(band, 0) for band in pot.hours_below.values()),
        number(MASS, pot.mass_kg, 1),
        "hangs" if pot.falls_at_km_h is None else span(pot.falls_at_km_h, 0, SPEED),
    ]


def night_rows(result: PotsResult) -> list[list[str]]:
    """Return the coldest still and windy nights, air and roots."""
    return [
        [label(p), *_night(p.worst_still_night), *_night(p.worst_windy_night)]
        for p in result.pots
        if p.worst_still_night or p.worst_windy_night
    ]


def _night(case: NightCase | None) -> list[str]:
    if case is None:
        return ["none", "?", "?"]
    return [
        case.evening,
        number(TEMPERATURE, case.air_c, 1),
        span(case.root_zone_c, 1, TEMPERATURE),
    ]
