"""Tonight as words for a terminal: to be read outdoors in five seconds."""

from __future__ import annotations

from collections.abc import Sequence

from climrisk.report.tables import table
from climrisk.result.tonight import PlantTonight, TonightResult

SPOT_HEADER = ("spot", "expected °C", "plan for °C", "margin K")


def tonight_text(result: TonightResult) -> str:
    """Return the sentence, what comes first, the three lists and the spots."""
    parts = [result.sentence]
    parts += result.first
    for name, rows in (
        ("CARRY IN what is still out", result.carry),
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
    parts.append(told(result))
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
    weight = "" if row.weight_kg is None else f", {row.weight_kg:g} kg"
    heavy = ", HEAVY" if row.heavy else ""
    falls = ", MAY FALL" if row.may_fall else ""
    return f"{row.spot}{to}{weight}{heavy}{falls}"


def spot_rows(result: TonightResult) -> Sequence[Sequence[object]]:
    """Return the table of spots, the coldest first."""
    return [
        (s.name, f"{s.expected_c:.1f}", f"{s.plan_for_c:.1f}", f"{s.margin_k:.1f}")
        for s in sorted(result.spots, key=lambda s: s.plan_for_c)
    ]


def told(result: TonightResult) -> str:
    """Return where the forecast comes from and how old it is."""
    night, forecast = result.night, result.forecast
    said = [f"minimum {night.lowest_c:g} °C"]
    if night.wind_m_s is not None:
        said.append(f"wind {night.wind_m_s * 3.6:.0f} km/h")
    if night.gust_m_s is not None:
        by = " by the wind" if night.gust_from_wind else ""
        said.append(f"gusts {night.gust_m_s * 3.6:.0f} km/h{by}")
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
