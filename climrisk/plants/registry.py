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

from climrisk.core.errors import InputError
from climrisk.core.paths import data_folder, is_folder
from climrisk.core.toml_text import parse_toml
from climrisk.plants.model import CitedSource, Profile

_SOLD_AS = (
    'it by how it is sold: "a warm grower", "an intermediate grower" or "a cool grower"'
)
#: First words of profiles' names that are no genus.
_ENGLISH = ("Cacti", "Hardy", "Tree")
_NOT_PLANTS = ("SOURCES", "GROUPS", "GENERAL")


class AmbiguousPlantError(InputError):
    """A name that covers several profiles, or a genus of which only a part has one.

    Parameters
    ----------
    typed : str
    choices : list of str
        Names of the profiles.
    about : str, optional
        What the question is about, such as the genus; what was typed if left out.
    others : bool
        Whether the plant may be none of them.
    read_as : str, optional
        What was read, where that is another name than the one typed.
    """

    def __init__(
        self,
        typed: str,
        choices: list[str],
        *,
        about: str = "",
        others: bool = False,
        read_as: str | None = None,
    ) -> None:
        self.typed, self.choices = typed, choices
        self.about, self.others, self.read_as = about or typed, others, read_as
        shown = "; ".join(short_name(name) for name in choices)
        if self.unlisted:
            text = f'"{_short(typed)}" has no profile of its own. '
            text += f"{did_you_mean([shown])} Or name {_SOLD_AS}"
        else:
            text = f'"{_short(typed)}" covers {len(choices)} plants. Say which: {shown}'
        super().__init__(text)

    @property
    def unlisted(self) -> bool:
        """Whether only a part of the genus has a profile, and it may be another."""
        return self.others and len(self.choices) == 1


class UnknownPlantError(InputError):
    """A name that leads to no profile; `near` holds the names spelled most alike."""

    unlisted = True

    def __init__(self, typed: str, near: list[str]) -> None:
        self.typed, self.near = typed, near
        text = f'No plant called "{_short(typed)}". '
        text += f"{did_you_mean(near)} Or name" if near else "Name"
        super().__init__(f"{text} {_SOLD_AS}")


def did_you_mean(near: list[str]) -> str:
    """Return names as a question."""
    *some, last = near
    return (
        f"Did you mean {', '.join(some)} or {last}?"
        if some
        else (f"Did you mean {last}?")
    )


def _short(typed: str, limit: int = 80) -> str:
    """Return what was typed, fit to be printed."""
    text = "".join(c if c.isprintable() else "?" for c in typed.strip())
    return text if len(text) <= limit else text[: limit - 1] + "…"


@dataclass(frozen=True)
class IndexEntry:
    """A line of the index: which names lead to which file.

    `short` is the name in a list of plants. `genera` are those that the profile stands
    for; `part` means that it covers only a part of them.
    """

    name: str
    short: str
    slug: str
    names: tuple[str, ...]
    label: str
    family: str
    genera: tuple[str, ...]
    part: bool


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
def index() -> tuple[IndexEntry, ...]:
    """Return our profiles by name, without reading them all."""
    text = (profile_folder() / "index.json").read_text("utf-8")
    return tuple(
        IndexEntry(
            *(row["name"], row["short"], row["slug"], tuple(row["names"])),
            row["label"],
            *(row["family"], tuple(row["genera"]), row["part"]),
        )
        for row in json.loads(text)["plants"]
    )


def short_name(name: str) -> str:
    """Return a plant's name as it is shown in a list; another name as it is."""
    return _short_names().get(name, name)


@lru_cache(maxsize=1)
def _short_names() -> dict[str, str]:
    return {entry.name: entry.short for entry in index()}


def find(name: str) -> Profile:
    """Return the profile of a plant by a name as growers write it.

    `climrisk.plants.names.resolve` says in addition what the name was read as.

    Raises
    ------
    AmbiguousPlantError
        Several profiles share the name; the message lists them.
    UnknownPlantError
        No such name; the message gives the nearest ones.
    """
    from climrisk.plants.names import resolve

    return resolve(name).profile


def search(text: str) -> list[IndexEntry]:
    """Return the profiles any of whose names contains a text."""
    wanted = key(text)
    return [e for e in index() if any(wanted in key(n) for n in (e.name, *e.names))]


def all_profiles() -> Iterator[Profile]:
    """Yield every profile, the user's own first."""
    yield from own_profiles()
    for entry in index():
        yield load_profile(profile_folder() / f"{entry.slug}.toml")


def load_profile(path: Path, *, own: bool = False) -> Profile:
    """Read a profile, once for each state of its file.

    Raises
    ------
    InputError
        The file is no TOML, or a key is missing, unknown or out of range.
    """
    return _load_profile(path, _state(path), own=own)


@lru_cache(maxsize=512)
def _load_profile(path: Path, _state: tuple[int, int], *, own: bool) -> Profile:
    try:
        data = parse_toml(path.read_text("utf-8"))
        return Profile.model_validate({**data, "own": own})
    except OSError as error:
        raise InputError(
            "a profile that cannot be read", where=str(path), value=error.strerror
        ) from error
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
    """Return the profiles of the user's folder that can be read."""
    return list(_own()[0])


def unreadable_profiles() -> dict[str, InputError]:
    """Return what is wrong with the others, by file name without ending."""
    return dict(_own()[1])


def _own() -> tuple[list[Profile], dict[str, InputError]]:
    folder = user_folder()
    paths = sorted(folder.glob("*.toml")) if is_folder(folder) else []
    return _read_own(tuple((path, *_state(path)) for path in paths))


@lru_cache(maxsize=1)
def _read_own(
    files: tuple[tuple[Path, int, int], ...],
) -> tuple[list[Profile], dict[str, InputError]]:
    """Read files once for each state of them."""
    profiles: list[Profile] = []
    unreadable: dict[str, InputError] = {}
    for path, _, _ in files:
        try:
            profiles.append(load_profile(path, own=True))
        except InputError as error:
            unreadable[path.stem] = error
    return profiles, unreadable


def _state(path: Path) -> tuple[int, int]:
    try:
        state = path.stat()
    except OSError:
        return 0, 0
    return state.st_mtime_ns, state.st_size


@lru_cache(maxsize=1)
def sources() -> dict[str, CitedSource]:
    """Return every source by its key."""
    text = (profile_folder() / "SOURCES.toml").read_text("utf-8")
    return {k: CitedSource.model_validate(v) for k, v in tomllib.loads(text).items()}


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
                "short": plant.short or plant.name,
                "slug": path.stem,
                "label": plant.label,
                "names": [*plant.synonyms, *plant.common_names],
                "family": plant.family,
                "genera": genera_of(plant),
                "part": covers_part(plant),
                "sha256": hashlib.sha256(path.read_bytes()).hexdigest(),
            }
        )
    return json.dumps({"plants": rows}, indent=1, ensure_ascii=False) + "\n"


def genera_of(plant: Profile) -> list[str]:
    """Return the genera that a profile stands for, by its name and synonyms.

    The first word of its name, other genera in its name (``Musa and Ensete``,
    ``formerly Laelia``), and synonyms that are a genus alone. A genus that only some
    synonym begins with is not its own: it may have other species elsewhere.
    """
    alone = [s.removeprefix("x ") for s in plant.synonyms]
    alone = [s for s in alone if re.fullmatch(r"[A-Z][a-z]+", s)]
    begun = {s.split()[0] for s in plant.synonyms}
    named = re.findall(r"\b[A-Z][a-z]+(?=$|[,)]| and| sect\b)", plant.name)
    first = [w for w in plant.name.replace(",", "").split()[:1] if w not in _ENGLISH]
    also = [w for w in named if w in begun or w in alone]
    return list(dict.fromkeys((*first, *also, *alone)))


def covers_part(plant: Profile) -> bool:
    """Return whether the name of a profile says more than its genera."""
    rest = re.sub(r"\band (?![A-Z])[^,(]*", "", plant.name)
    words = set(re.findall(r"[A-Za-z-]+", rest)) - {"and", "hybrids"}
    return bool(words - set(genera_of(plant)))


def build_schema() -> str:
    """Return the JSON Schema of a profile."""
    schema = Profile.model_json_schema()
    schema["properties"].pop("own")
    return json.dumps(schema, indent=1) + "\n"
