"""What to ask where a name covers several plants, and what to show where none fits."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.core.quantities import differences, from_data, temperature
from climrisk.plants.model import LimitRow, Limits, Profile
from climrisk.plants.registry import index, key, load_profile, profile_folder

#: The society whose classes make the three scenarios; others differ by 3 to 5 K.
_CLASSES = "SFVOS"


@dataclass(frozen=True)
class PlantKind:
    """A kind that a name may mean, as its keeper would know it."""

    word: str
    line: str
    plants: tuple[Profile, ...]


@dataclass(frozen=True)
class Asking:
    """One question and the kinds to answer it with."""

    ask: str
    kinds: tuple[PlantKind, ...]


def asking(about: str, choices: list[str], *, others: bool = False) -> Asking:
    """Return the question that tells apart what a name may mean.

    Parameters
    ----------
    about : str
        What the question is about, such as a genus.
    choices : list of str
        Names of the profiles that it may be.
    others : bool
        Whether it may be none of them: the answers end with one grower of each class.
    """
    slugs = {entry.name: entry.slug for entry in index()}
    row = next((r for r in _read()["question"] if key(r["about"]) == key(about)), None)
    kinds = [
        PlantKind(
            k["word"], from_data(k["line"]), tuple(_profile(s) for s in k["plants"])
        )
        for k in (row["kind"] if row else ())
    ]
    named = {plant.name for kind in kinds for plant in kind.plants}
    rest = [_profile(slugs[n]) for n in choices if n in slugs and n not in named]
    kinds += [PlantKind(p.name, described(p), (p,)) for p in rest]
    if others:
        kinds += [replace(k, word=f"none of these, {k.word}") for k in scenarios()]
    ask = row["ask"] if row else f"Which {about.strip()} is it?"
    if row is None and len(kinds) == 1 + len(scenarios()) and others:
        ask = f"Is it {kinds[0].word}?"
    return Asking(ask, tuple(kinds))


def described(plant: Profile) -> str:
    """Return a profile in one line, for choosing by."""
    row = plant.limit("preferred")
    also = (*plant.common_names, *plant.synonyms)[:2]
    words = [f"a {plant.label} grower" if plant.label != "intermediate" else ""]
    if not words[0]:
        words = ["an intermediate grower"]
    if also:
        words.insert(0, f"also {' or '.join(also)}")
    if row is not None:
        words.append(f"nights of {temperature(row.value)} or more")
    words.append(_REST[plant.rest])
    return ", ".join(words)


_REST = {
    "none": "grows all year",
    "drier": "kept drier in winter",
    "dry": "a dry rest",
    "cool": "a cool rest, never quite dry",
    "cool_dry": "a cool dry rest",
}


def scenarios() -> tuple[PlantKind, ...]:
    """Return a warm, an intermediate and a cool grower by one society's classes.

    They stand for no plant: their only limit is the lower bound of a class.
    """
    text = (profile_folder() / "GROUPS.toml").read_text("utf-8")
    out = []
    for row in tomllib.loads(text)["class"]:
        if row["source"] != _CLASSES:
            continue
        low, label = row["night_min_c"], row["label"]
        limit = LimitRow(
            value=low,
            meaning="class_lower_bound",
            basis="published",
            sources=(_CLASSES,),
        )
        article = "an" if label == "intermediate" else "a"
        plant = Profile(
            name=f"{article} {label} grower",
            label=label,
            limits=Limits(preferred=(limit,)),
        )
        line = (
            f"winter nights of {temperature(low)} or more by one society; others "
            "differ by "
            f"{differences(3, 5)}"
        )
        out.append(PlantKind(label, line, (plant,)))
    return tuple(out)


def form(name: str) -> str:
    """Return a profile to fill in, for the user's own folder."""
    safe = name.replace("\\", "").replace('"', "'").strip()
    return "\n".join(
        [
            f'name = "{safe}"',
            'label = "intermediate"   # warm, intermediate or cool: only a label',
            'rest = "none"            # none, drier, dry, cool or cool_dry',
            "",
            "[limits]",
            "# Write the lowest night it should have, in °C, and where you read it.",
            'preferred = [{ value = , meaning = "advised_night_low", basis = "yours", '
            'sources = ["where"] }]',
            "# May be left out: what a source calls tolerated, and the advised top.",
            '# tolerated = [{ value = , meaning = "stated_minimum", basis = "yours" }]',
            '# advised_top = [{ value = , meaning = "advised_top", basis = "yours" }]',
        ]
    )


def _profile(slug: str) -> Profile:
    return load_profile(profile_folder() / f"{slug}.toml")


@lru_cache(maxsize=1)
def _read() -> dict[str, Any]:
    file = resources.files("climrisk.plants").joinpath("data/questions.toml")
    return tomllib.loads(file.read_text("utf-8"))
