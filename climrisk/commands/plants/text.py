"""Profiles as words for a terminal."""

from __future__ import annotations

from typing import Any

from climrisk.advice.cautions import NOT_LISTED
from climrisk.commands.plants.result import PlantsResult
from climrisk.core.references import by
from climrisk.plants.model import limit_kind
from climrisk.plants.registry import short_name
from climrisk.render.answer import Answer, Part, Rows, Words, some
from climrisk.render.display_units import number, quantity
from climrisk.render.tables import table

_LIMITS = {
    "preferred": "Night minimum it prefers",
    "tolerated": "Coldest night it tolerates",
    "advised_top": "Advised day maximum",
    "ceiling": "Upper limit",
    "warm_night": "Declines with nights above",
}


def plants_answer(result: PlantsResult) -> Answer:
    """Return how many profiles there are, or the limits of one."""
    profile = result.profile
    if profile is None:
        labels = ("warm", "intermediate", "cool")
        rows = [
            (
                label,
                some(
                    [short_name(p.name) for p in result.plants if p.label == label],
                    12,
                ),
            )
            for label in labels
        ]
        own = sum(p.own for p in result.plants)
        mine = f", {own} of them yours" if own else ""
        parts: list[Part] = [
            Rows(rows, least=3),
            Words(
                "Name one to see its limits" + by(cli=": climrisk plants Masdevallia")
            ),
        ]
        return Answer(
            f"{len(result.plants)} plants are known{mine}.", parts, "all names"
        )
    names = [*profile["common_names"], *profile["synonyms"]]
    found = []
    for kind, words in _LIMITS.items():
        rows_of = [r for r in profile["limits"].get(kind, []) if not r.get("when")]
        if rows_of:
            row = rows_of[0]
            source = ", ".join(row["sources"]) or row["basis"]
            found.append((words, _value(kind, row), source))
    parts = [Rows(found, least=2)]
    parts.append(
        Words(f"Winter rest: {profile['rest'].replace('_', ' and ')}.", rank=1)
    )
    parts.append(Words(_toxic(profile), tight=True))
    if names:
        parts.append(Words(f"Also called {some(names)}.", rank=2, tight=True))
    return Answer(
        f"{profile['name']}: {'an' if profile['label'][0] in 'aeiou' else 'a'} "
        f"{profile['label']} grower",
        parts,
        "all values with their sources",
    )


def plants_text(result: PlantsResult) -> str:
    """Return in full the list of profiles, or one in full."""
    if result.profile is None:
        rows = [
            (p.name + (" (yours)" if p.own else ""), p.label, "; ".join(p.names[:3]))
            for p in result.plants
        ]
        return table(["plant", "label", "also called"], rows)
    profile = result.profile
    parts = [f"{profile['name']}, sold as a {profile['label']} grower"]
    names = [*profile["synonyms"], *profile["common_names"]]
    if names:
        parts.append("Also: " + "; ".join(names) + ".")
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
    parts.append(_toxic(profile))
    if profile["dose"]:
        parts.append(_dose(profile["dose"]))
    parts += [
        f"{s.key}: {s.publisher}, {s.title}"
        + (f", {s.year}" if s.year else "")
        + (f" <{s.address}>" if s.address else "")
        for s in result.sources
    ]
    return "\n\n".join(parts)


def _toxic(profile: dict[str, Any]) -> str:
    toxic = profile.get("toxic")
    if toxic is None:
        return NOT_LISTED.text
    return f"Toxic: {toxic['note']} ({toxic['basis']})."


def _value(kind: str, row: dict[str, Any]) -> str:
    of, high = limit_kind(kind), row.get("high")
    if high is None:
        return quantity(of, row["value"])
    return f"{number(of, row['value'])} to {quantity(of, high)}"


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
