"""Find a plant by any of its names."""

from __future__ import annotations

import json
import re
import tomllib
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from pydantic import ValidationError

from climrisk.errors import InputError
from climrisk.folders import data_folder
from climrisk.plants.model import Profile, Source

_NOT_PLANTS = ("SOURCES", "GROUPS", "GENERAL")


class AmbiguousPlant(InputError):  # noqa: N818 - a question, not a fault
    """A name that several profiles share; `choices` holds their names."""

    def __init__(self, asked: str, choices: list[str]) -> None:
        self.choices = choices
        super().__init__(
            "this name covers several plants",
            where="plant",
            value=asked,
            allowed="; ".join(choices[:8]) + ("; …" if len(choices) > 8 else ""),
            next_step="name one of them, in quotes",
        )


class UnknownPlant(InputError):  # noqa: N818 - a question, not a fault
    """A name that no profile has.

    `near` holds the names spelled most alike, `likeness` that of the first, 0 to 1.
    """

    def __init__(self, asked: str, near: list[tuple[str, float]]) -> None:
        self.asked = asked
        self.near = [name for name, _ in near]
        self.likeness = near[0][1] if near else 0.0
        super().__init__(
            "no profile of this plant",
            where="plant",
            value=asked,
            allowed="nearest: " + "; ".join(self.near),
            next_step="climrisk plants lists all; your own go into "
            + str(user_folder()),
        )


@dataclass(frozen=True)
class Entry:
    """A line of the index: which names lead to which file."""

    name: str
    slug: str
    names: tuple[str, ...]
    label: str


def profile_folder() -> Path:
    """Return the folder of our profiles: inside the wheel, else in the checkout."""
    package = Path(__file__).resolve().parent.parent
    inside = package / "_species_profiles"
    return inside if inside.is_dir() else package.parent / "species_profiles"


def user_folder() -> Path:
    """Return the user's own folder of profiles; it need not exist."""
    return data_folder() / "plants"


def key(name: str) -> str:
    """Return a name without case, accents and punctuation."""
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return " ".join(re.findall(r"[a-z0-9]+", plain.lower()))


def slug(name: str) -> str:
    """Return the file name of a plant, without ending."""
    return key(name).replace(" ", "-")


@lru_cache(maxsize=1)
def index() -> tuple[Entry, ...]:
    """Return our profiles by name, without reading them all."""
    text = (profile_folder() / "index.json").read_text("utf-8")
    return tuple(
        Entry(row["name"], row["slug"], tuple(row["names"]), row["label"])
        for row in json.loads(text)["plants"]
    )


def find(name: str) -> Profile:
    """Return the profile of a plant by name, synonym or trade name.

    The user's own profiles go first. A genus or trade name that several profiles
    share is a question back, not a guess.

    Raises
    ------
    AmbiguousPlant
        Several profiles share the name; the message lists them.
    InputError
        No such name; the message gives the nearest ones.
    """
    wanted = key(name)
    for profile in own_profiles():
        if wanted in {key(n) for n in (profile.name, *profile.synonyms)}:
            return profile
    by_name = [e for e in index() if wanted in (key(e.name), key(e.slug))]
    by_synonym = [e for e in index() if wanted in {key(n) for n in e.names}]
    for found in (by_name, by_synonym):
        if len(found) == 1:
            return load_profile(profile_folder() / f"{found[0].slug}.toml")
        if found:
            raise AmbiguousPlant(name, [e.name for e in found])
    within = [e for e in index() if _begins(wanted, e)] if wanted else []
    if len(within) == 1:
        return load_profile(profile_folder() / f"{within[0].slug}.toml")
    if within:
        raise AmbiguousPlant(name, [e.name for e in within])
    raise UnknownPlant(name, likeness(name))


def _begins(wanted: str, entry: Entry) -> bool:
    """Whether a genus or the first words of a name were asked for."""
    return any(
        f"{key(n)} ".startswith(f"{wanted} ") for n in (entry.name, *entry.names)
    )


def nearest(name: str, count: int = 4) -> list[str]:
    """Return the names of the profiles whose names are spelled most alike."""
    return [name for name, _ in likeness(name, count)]


def likeness(name: str, count: int = 4) -> list[tuple[str, float]]:
    """Return the profiles spelled most alike, each with its likeness, 0 to 1."""
    import difflib

    wanted = key(name)
    # The matcher keeps what it knows of its second text, so that one stays.
    whole = difflib.SequenceMatcher(None, "", wanted)
    genus = difflib.SequenceMatcher(None, "", wanted.split(" ")[0])
    scored: dict[str, float] = {}
    for entry in index():
        for known in (entry.name, *entry.names):
            text = key(known)
            whole.set_seq1(text)
            genus.set_seq1(text.split(" ")[0])
            score = max(whole.ratio(), 0.9 * genus.ratio())
            scored[entry.name] = max(scored.get(entry.name, 0), score)
    best = sorted(scored, key=lambda n: -scored[n])[:count]
    return [(n, scored[n]) for n in best]


def search(text: str) -> list[Entry]:
    """Return the profiles any of whose names contains a text."""
    wanted = key(text)
    return [e for e in index() if any(wanted in key(n) for n in (e.name, *e.names))]


def all_profiles() -> Iterator[Profile]:
    """Yield every profile, the user's own first."""
    yield from own_profiles()
    for entry in index():
        yield load_profile(profile_folder() / f"{entry.slug}.toml")


def load_profile(path: Path, *, own: bool = False) -> Profile:
    """Read a profile.

    Raises
    ------
    InputError
        The file is no TOML, or a key is missing, unknown or out of range.
    """
    try:
        data = tomllib.loads(path.read_text("utf-8"))
        return Profile.model_validate({**data, "own": own})
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise InputError(
            "not a TOML file", where=str(path), value=str(error)
        ) from error
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False)[0]
        raise InputError(
            f"wrong entry {'.'.join(str(p) for p in first['loc'])}",
            where=str(path),
            value=None if isinstance(first["input"], dict) else first["input"],
            allowed=first["msg"],
            next_step="species_profiles/schema.json describes every key",
        ) from error


def own_profiles() -> list[Profile]:
    """Return the profiles of the user's folder."""
    folder = user_folder()
    if not folder.is_dir():
        return []
    return [load_profile(p, own=True) for p in sorted(folder.glob("*.toml"))]


@lru_cache(maxsize=1)
def sources() -> dict[str, Source]:
    """Return every source by its key."""
    text = (profile_folder() / "SOURCES.toml").read_text("utf-8")
    return {k: Source.model_validate(v) for k, v in tomllib.loads(text).items()}


def build_index(folder: Path) -> str:
    """Return the text of ``index.json`` for a folder of profiles."""
    import hashlib

    rows = []
    for path in sorted(folder.glob("*.toml")):
        if path.stem in _NOT_PLANTS:
            continue
        plant = load_profile(path)
        rows.append(
            {
                "name": plant.name,
                "slug": path.stem,
                "label": plant.label,
                "names": [*plant.synonyms, *plant.common_names],
                "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
            }
        )
    return json.dumps({"plants": rows}, indent=1, ensure_ascii=False) + "\n"


def build_schema() -> str:
    """Return the JSON Schema of a profile."""
    schema = Profile.model_json_schema()
    schema["properties"].pop("own")
    return json.dumps(schema, indent=1) + "\n"
