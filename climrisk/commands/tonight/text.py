"""Tonight as words for a terminal: to be read outdoors in five seconds."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from climrisk.commands.tonight.result import PlantTonight, TonightResult
from climrisk.core.quantities import (
    DEGREES,
    DEGREES_APART,
    DIFFERENCE,
    MASS,
    TEMPERATURE,
)
from climrisk.core.wording import listed
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, day_of, some
from climrisk.render.display_units import number, quantity, speed, temperature
from climrisk.render.tables import table

SPOT_HEADER = (
    "spot",
    f"expected {DEGREES}",
    f"plan for {DEGREES}",
    f"margin, {DEGREES_APART}",
)


#: More plants than these to carry or cover are told by their spots.
_FEW = 4
_KINDS = {"windy": "windy or cloudy"}
_BETWEEN = "partly clear"


def tonight_answer(result: TonightResult) -> Answer:
    """Return how many to carry, cover and leave, then which, then the coldest spot."""
    counts = [
        sum(r.count for r in rows)
        for rows in (result.carry, result.cover, result.leave)
    ]
    names = ("CARRY IN", "COVER", "LEAVE")
    todo = [f"{name} {n}" for name, n in zip(names, counts, strict=True) if n]
    lead = " · ".join(todo) or "TONIGHT"
    parts: list[Part] = []
    parts.append(Words(_night(result)))
    rows = _rows("Carry in", result.carry) + _rows("Cover", result.cover)
    if result.leave:
        rows.append(("Leave", some(_by_name(result.leave))))
    if result.inside:
        rows.append(("Inside", f"{some(_by_name(result.inside))} (by your notes)"))
    parts.append(Rows(rows, rank=3, least=4, what="more spot"))
    if result.secure:
        secure = some([short_name(s) for s in result.secure])
        parts.append(Words(f"Tie or lay down: {secure}."))
    parts += [Words(text, tight=True, rank=1) for text in _first(result)]
    if result.cover:
        fleece = "Fleece must not lie on wet leaves; take plastic off at sunrise."
        parts.append(Words(fleece, rank=2, tight=True))
    elif result.carry and not result.cover_helps:
        parts.append(Words("A cover does not help tonight.", rank=2, tight=True))
    if result.not_judged:
        missing = "; ".join(short_name(n.label) for n in result.not_judged)
        parts.append(Words(f"Not judged: {missing}.", rank=1, tight=True))
    return Answer(
        lead, parts, "weights, margins, sources", result.cautions, result.files
    )


def _night(result: TonightResult) -> str:
    """Return the night as it was understood, and the coldest spot."""
    night = result.night
    kind = night.words if night.kind == "still" else _KINDS.get(night.kind, _BETWEEN)
    said = [f"lowest {temperature(night.lowest_c)}", kind]
    if night.wind_m_s is not None:
        said.append(f"wind {speed(night.wind_m_s)}")
    typed = result.forecast.kind == "words"
    where = "As typed" if typed else f"Night of {day_of(night.evening)}"
    outside = [s for s in result.spots if not s.indoors] or result.spots
    coldest = min(outside, key=lambda s: s.plan_for_c)
    return (
        f"{where}: {', '.join(said)}. Coldest spot: {coldest.name}, most likely "
        f"{temperature(coldest.expected_c, 1)}, plan for "
        f"{temperature(coldest.plan_for_c, 1)}."
    )


def _rows(action: str, plants: Sequence[PlantTonight]) -> list[tuple[str, str]]:
    """Return a row a plant, or a row a spot where there are many."""
    if len(plants) <= _FEW:
        return [(action, f"{_plant(r)}: {r.why.split(';')[0]}") for r in plants]
    spots: dict[str, list[PlantTonight]] = {}
    for row in plants:
        spots.setdefault(row.spot, []).append(row)
    out = []
    for spot, rows in spots.items():
        to = dict.fromkeys(r.to for r in rows if r.to)
        way = f"{spot} to {listed(list(to))}" if to else spot
        coldest = min(r.plan_for_c for r in rows)
        text = f"{way}, {sum(r.count for r in rows)}: {some(_by_name(rows), 3)}; "
        out.append((action, f"{text}may reach {temperature(coldest)}"))
    return out


def _plant(row: PlantTonight) -> str:
    to = f" to {row.to}" if row.to else ""
    flags = f"{', heavy' if row.heavy else ''}{', may fall' if row.may_fall else ''}"
    return f"{row.count} {short_name(row.label)} ({row.spot}{to}{flags})"


def _by_name(rows: Sequence[PlantTonight]) -> list[str]:
    """Return how many of each plant, the most numerous first."""
    counts: Counter[str] = Counter()
    for row in rows:
        counts[short_name(row.label)] += row.count
    return [f"{n} {name}" for name, n in counts.most_common()]


def _first(result: TonightResult) -> list[str]:
    """Return what comes first, a sentence each."""
    return [
        text.split(" (common practice")[0].rstrip(".") + "."
        for text in result.first
        if not text.startswith("Tie, lay down")
    ]


def tonight_text(result: TonightResult) -> str:
    """Return in full the sentence, what comes first, the three lists and the spots."""
    parts = [result.sentence]
    parts += result.first
    for name, rows in (
        ("CARRY IN what is outside", result.carry),
        ("COVER", result.cover),
        ("LEAVE", result.leave),
        ("INSIDE by your notes", result.inside),
    ):
        if rows:
            parts.append("\n".join([name, *(f"  {line(r)}" for r in rows)]))
    if result.rooms_words:
        parts.append(result.rooms_words)
    if result.cover or not result.cover_helps:
        parts.append(result.cover_words)
    parts.append(table(SPOT_HEADER, spot_rows(result)))
    parts += [f"Not judged, {n.label}: {n.reason}." for n in result.not_judged]
    parts += [
        f"Assumed {a.variable}: {a.value} ({a.spread}), {a.why}."
        for a in result.assumed
    ]
    parts.append(forecast_text(result))
    parts += [f"Written: {path}" for path in result.files]
    parts.append("\n".join(f"Caution, {c.topic}: {c.text}" for c in result.cautions))
    return "\n\n".join(parts)


def line(row: PlantTonight) -> str:
    """Return one plant of a list: how many, from where, to where, and why."""
    count = f"{row.count} x " if row.count > 1 else ""
    return f"{count}{row.label} ({way(row)}): {row.why}"


def way(row: PlantTonight) -> str:
    """Return from where to where a plant goes, and what it weighs."""
    to = "" if row.to is None else f" to {row.to}"
    weight = "" if row.weight_kg is None else f", {quantity(MASS, row.weight_kg)}"
    heavy = ", HEAVY" if row.heavy else ""
    falls = ", MAY FALL" if row.may_fall else ""
    return f"{row.spot}{to}{weight}{heavy}{falls}"


def spot_rows(result: TonightResult) -> Sequence[Sequence[object]]:
    """Return the table of spots, the coldest first."""
    return [
        (
            s.name,
            number(TEMPERATURE, s.expected_c, 1),
            number(TEMPERATURE, s.plan_for_c, 1),
            number(DIFFERENCE, s.margin_k, 1),
        )
        for s in sorted(result.spots, key=lambda s: s.plan_for_c)
    ]


def forecast_text(result: TonightResult) -> str:
    """Return where the forecast comes from and how old it is."""
    night, forecast = result.night, result.forecast
    said = [f"minimum {temperature(night.lowest_c)}"]
    if night.wind_m_s is not None:
        said.append(f"wind {speed(night.wind_m_s)}")
    if night.gust_m_s is not None:
        by = " by the wind" if night.gust_from_wind else ""
        said.append(f"gusts {speed(night.gust_m_s)}{by}")
    if night.cloud_frac is not None:
        said.append(f"cloud {night.cloud_frac:.0%}")
    age = (
        ""
        if forecast.fetched is None
        else f", fetched {forecast.fetched} ({forecast.age_min} min ago)"
    )
    read = "" if not forecast.understood else f", read as {forecast.understood}"
    text = f"From {forecast.source}{read}{age}: {', '.join(said)}."
    return f"{text} {forecast.credit}".strip()


def tonight_warning(result: TonightResult) -> tuple[str, str]:
    """Return what must be done, as the title and the text of a calendar's entry."""
    heads, lines = [], []
    for name, rows in (("carry in", result.carry), ("cover", result.cover)):
        if rows:
            heads.append(f"{name} {sum(r.count for r in rows)}")
        for row in rows:
            count = f"{row.count} " if row.count > 1 else ""
            to = "" if row.to is None else f" to {row.to}"
            place = f"{row.spot}{to}"
            lines.append(f"{name.capitalize()} {count}{row.label} ({place}): {row.why}")
    if result.secure:
        heads.append(f"secure {len(result.secure)} against wind")
        lines.append(f"Secure against wind: {'; '.join(result.secure)}")
    lines += [*result.first, result.forecast.credit, result.cautions[0].text]
    return f"Tonight: {', '.join(heads)}", "\n".join(line for line in lines if line)
