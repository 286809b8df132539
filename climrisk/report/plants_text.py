"""Profiles as words for a terminal."""

from __future__ import annotations

from typing import Any

from climrisk.report.tables import table
from climrisk.result.plants import PlantsResult

_UNITS = {"humidity_low_pct": "%", "night_drop": "K"}


def plants_text(result: PlantsResult) -> str:
    """Return the list of profiles, or one in full."""
    if result.profile is None:
        rows = [
            (p.name + (" (yours)" if p.own else ""), p.label, ", ".join(p.names[:3]))
            for p in result.plants
        ]
        return table(["plant", "label", "also called"], rows)
    profile = result.profile
    parts = [f"{profile['name']}, sold as a {profile['label']} grower"]
    names = [*profile["synonyms"], *profile["common_names"]]
    if names:
        parts.append("Also: " + ", ".join(names) + ".")
    limits = [
        (
            kind.replace("_", " "),
            _value(kind, row),
            row["meaning"].replace("_", " "),
            row.get("when", ""),
            row["basis"],
            ", ".join(row["sources"]),
        )
        for kind, values in profile["limits"].items()
        for row in values
    ]
    parts.append(
        table(["limit", "value", "meaning", "when", "basis", "sources"], limits)
    )
    parts.append(f"Winter rest: {profile['rest'].replace('_', ', ')}.")
    toxic = profile.get("toxic")
    parts.append(
        f"Toxic: {toxic['note']} ({toxic['basis']})."
        if toxic
        else "Toxic: nothing noted, which does not mean safe."
    )
    if profile["dose"]:
        parts.append(_dose(profile["dose"]))
    parts += [
        f"{s.key}: {s.publisher}, {s.title}"
        + (f", {s.year}" if s.year else "")
        + (f" <{s.address}>" if s.address else "")
        for s in result.sources
    ]
    return "\n\n".join(parts)


def _value(kind: str, row: dict[str, Any]) -> str:
    unit = _UNITS.get(kind, "°C")
    high = row.get("high")
    value = f"{row['value']:g}" + (f" to {high:g}" if high is not None else "")
    return f"{value} {unit}"


def _dose(rows: list[dict[str, Any]]) -> str:
    return table(
        ["fact", "value", "unit", "under", "sources"],
        [
            (
                r["quantity"].replace("_", " "),
                r["value"],
                r["unit"],
                r["condition"],
                ", ".join(r["sources"]),
            )
            for r in rows
        ],
    )
