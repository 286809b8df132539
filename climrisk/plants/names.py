"""Names as growers write them, resolved to a profile or to a question.

Tried in this order: the names of profiles and questions as they stand (case, accents,
punctuation and plural aside); without filler words such as "tree" or "plant"; a genus,
or its abbreviation, with a species; a genus alone; the same with a few wrong letters.
A common name never matches by its beginning.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.plants import registry
from climrisk.plants.model import Profile
from climrisk.plants.registry import AmbiguousPlant, UnknownPlant
from climrisk.plants.spelling import ONE_WRONG, words_of, wrong_letters

Words = tuple[str, ...]

_BEFORE = {"a", "an", "the", "my", "indoor", "potted", "mini", "dwarf"}
_AFTER_WORDS = (
    *("plant", "tree", "flower", "vine", "bush", "shrub", "houseplant", "orchid"),
    *("hybrid", "sp", "spp", "species", "seedling"),
)
_AFTER = {words_of(word)[0] for word in _AFTER_WORDS}
#: Below this likeness a name is not offered as what was meant.
_ALIKE = 0.7


@dataclass(frozen=True)
class Resolved:
    """The profile that a name leads to.

    Parameters
    ----------
    profile : Profile
    typed : str
    read_as : str or None
        Name of the profile where what was typed is none of its names.
    """

    profile: Profile
    typed: str
    read_as: str | None


@dataclass(frozen=True)
class _Lead:
    """Where a name leads: to one profile, or to a question about several.

    `about` is what the question is about; `others` means that the plant may be none
    of them.
    """

    slugs: tuple[str, ...]
    about: str = ""
    others: bool = False


def resolve(name: str) -> Resolved:
    """Return the profile of a plant by a name as growers write it.

    The user's own profiles go first.

    Raises
    ------
    AmbiguousPlant
        The name covers several profiles, or a genus of which only a part has one.
    UnknownPlant
        No such name; the message offers the nearest ones.
    """
    typed = words_of(name)
    for words in _without_fillers(typed):
        for profile in registry.own_profiles():
            if words in {words_of(n) for n in (profile.name, *profile.synonyms)}:
                return Resolved(profile, name, read_as(profile, name))
    lead = (_exact(typed, _dotted(name)) or _misspelt(typed)) if typed else None
    if lead is None:
        raise UnknownPlant(name, nearest(name))
    if len(lead.slugs) == 1 and not lead.others:
        profile = registry.load_profile(
            registry.profile_folder() / f"{lead.slugs[0]}.toml"
        )
        return Resolved(profile, name, read_as(profile, name))
    known = _catalog()
    raise AmbiguousPlant(
        name,
        [known.titles[slug] for slug in lead.slugs],
        about=lead.about or name.strip(),
        others=lead.others,
        read_as=_topic_read_as(typed, lead.about),
    )


def read_as(profile: Profile, typed: str) -> str | None:
    """Return the name of a profile, or None where what was typed is one of its names.

    Case, accents, punctuation and plural make no other name.
    """
    names = (profile.name, *profile.synonyms, *profile.common_names)
    if words_of(typed) in {words_of(n) for n in names}:
        return None
    return None if registry.key(typed) == registry.slug(profile.name) else profile.name


def _topic_read_as(typed: Words, about: str) -> str | None:
    """Return what a question is about, or None where that is what was typed."""
    for words in _without_fillers(typed):
        row = _catalog().questions.get(words)
        if words == words_of(about) or (row is not None and row["about"] == about):
            return None
    return about or None


def nearest(name: str, count: int = 3) -> list[str]:
    """Return the names spelled most alike, one of each plant; none where none is."""
    import difflib

    wanted = registry.key(name)
    # The matcher keeps what it knows of its second text, so that one stays.
    whole = difflib.SequenceMatcher(None, "", wanted)
    first = difflib.SequenceMatcher(None, "", wanted.split(" ")[0])
    best: list[tuple[float, str]] = []
    for entry in registry.index():
        scored = []
        for known in (entry.name, *entry.names):
            text = registry.key(known)
            whole.set_seq1(text)
            first.set_seq1(text.split(" ")[0])
            begun = 0.9 * first.ratio() if known[0].isupper() else 0.0
            scored.append((max(whole.ratio(), begun), known))
        best.append(max(scored, key=lambda row: row[0]))
    best = sorted((row for row in best if row[0] >= _ALIKE), key=lambda row: -row[0])
    return [known for _, known in best[:count]]


class _Catalog:
    """All names by what they lead to, from the index and the data files."""

    def __init__(self) -> None:
        self.titles: dict[str, str] = {}
        self.family: dict[str, str] = {}
        self.part: set[tuple[str, str]] = set()
        self.own: dict[Words, str] = {}
        self.names: dict[Words, tuple[str, ...]] = {}
        self.genera: dict[str, tuple[str, ...]] = {}
        self.species: dict[tuple[str, Words], tuple[str, ...]] = {}
        for entry in registry.index():
            self.titles[entry.slug] = entry.name
            self.family[entry.slug] = entry.family
            if entry.part:
                # Old and hybrid genera are covered whole.
                self.part.add((words_of(entry.name)[0], entry.slug))
            for text in (entry.name, entry.slug):
                self.own[words_of(text)] = entry.slug
            for text in entry.names:
                _add(self.names, words_of(text), entry.slug)
            for genus in entry.genera:
                _add(self.genera, words_of(genus)[0], entry.slug)
        extra = _read("names.toml")
        for genus, slugs in extra["genera"].items():
            at = words_of(genus)[0]
            if at not in self.genera:
                self.genera[at] = tuple(s for s in slugs if s in self.titles)
        for entry in registry.index():
            listed = (*entry.names, *_in_brackets(entry.name))
            for text in (entry.name, *listed):
                self._add_species(text, entry.slug)
        for slug, listed in extra["species"].items():
            for text in listed if slug in self.titles else ():
                if not self._lists(text):
                    self._add_species(text, slug)
        self.questions: dict[Words, dict[str, Any]] = {}
        for row in _read("questions.toml")["question"]:
            for text in (row["about"], *row["names"]):
                self.questions[words_of(text)] = row
        self.trade = {words_of(k): v for k, v in extra["trade"].items()}
        self.other = {words_of(text) for text in extra["other"]["names"]}
        self.short: dict[str, tuple[str, ...]] = {}
        for row in _read("abbreviations.toml")["abbreviation"]:
            at = words_of(row["short"])[0]
            self.short[at] = tuple(words_of(g)[0] for g in row["genus"])
        self.joined = {
            "".join(words): words
            for words in (*self.own, *self.names, *self.questions)
            if len(words) > 1
        }

    def _lists(self, text: str) -> bool:
        genus, *epithet = words_of(text)
        return (genus, tuple(epithet)) in self.species

    def _add_species(self, text: str, slug: str) -> None:
        genus, *epithet = words_of(text)
        if epithet and genus in self.genera:
            _add(self.species, (genus, tuple(epithet)), slug)

    def about(self, topic: str, slugs: Sequence[str] = ()) -> _Lead:
        """Return the question about a topic, with all profiles that it may mean."""
        row = self.questions.get(words_of(topic))
        if row is None:
            return _Lead(tuple(slugs), topic)
        asked = [slug for kind in row["kind"] for slug in kind["plants"]]
        genus = self.genera.get(words_of(topic)[0], ())
        return _Lead(
            tuple(dict.fromkeys((*asked, *slugs, *genus))),
            row["about"],
            row.get("others", False),
        )


@lru_cache(maxsize=1)
def _catalog() -> _Catalog:
    return _Catalog()


def _read(name: str) -> dict[str, Any]:
    file = resources.files("climrisk.plants").joinpath(f"data/{name}")
    return tomllib.loads(file.read_text("utf-8"))


def _add(table: dict[Any, tuple[str, ...]], at: Any, slug: str) -> None:
    if slug not in table.get(at, ()):
        table[at] = (*table.get(at, ()), slug)


def _in_brackets(name: str) -> Iterator[str]:
    """Yield the species that the name of a profile gives in brackets."""
    genus = name.split()[0].strip(",")
    for epithet in re.findall(r"\b[A-Z]\. ([a-z-]{4,})", name):
        yield f"{genus} {epithet}"


def _dotted(name: str) -> bool:
    """Whether the first word of a name is marked as an abbreviation."""
    return re.match(r"\W*[A-Za-z]+\.", name) is not None


def _without_fillers(words: Words) -> Iterator[Words]:
    """Yield a name as it stands, then shorter and shorter without filler words."""
    yield words
    while len(words) > 1 and words not in _catalog().other:
        if words[-1] in _AFTER:
            words = words[:-1]
        elif words[0] in _BEFORE:
            words = words[1:]
        else:
            return
        yield words


def _exact(typed: Words, dotted: bool = False) -> _Lead | None:
    """Return where a name leads whose letters are all right."""
    forms = list(_without_fillers(typed))
    for words in forms:
        lead = _listed(words)
        if lead is not None and _fits(typed, words, lead):
            return lead
    lead = _botanical(forms[-1], dotted)
    return lead if lead is not None and _fits(typed, forms[-1], lead) else None


def _fits(typed: Words, words: Words, lead: _Lead) -> bool:
    """Whether a name without its fillers still is what was typed: no "lemon orchid"."""
    families = {_catalog().family[slug] for slug in lead.slugs}
    left_out = "orchid" in typed and "orchid" not in words
    return not left_out or families <= {"Orchidaceae"}


def _listed(words: Words) -> _Lead | None:
    """Return where a name leads that a profile, a question or the trade has."""
    known = _catalog()
    if len(words) == 1 and words not in known.own:
        words = known.joined.get(words[0], words)
    if words in known.own:
        return _Lead((known.own[words],))
    if words in known.questions:
        return known.about(known.questions[words]["about"])
    if words in known.names:
        slugs = known.names[words]
        return _Lead(slugs) if len(slugs) == 1 else _Lead(slugs, " ".join(words))
    to = known.trade.get(words)
    if to is None:
        return None
    return _Lead((to,)) if to in known.titles else known.about(to)


def _botanical(words: Words, dotted: bool) -> _Lead | None:
    """Return where a genus leads, alone or with a species, written out or short."""
    known = _catalog()
    first, rest = words[0], words[1:]
    genera = [first] if first in known.genera else []
    written = bool(genera)
    genera += [g for g in known.short.get(first, ()) if g in known.genera]
    # A letter may stand for any genus, and so may the first letters with a point.
    loose = [g for g in known.genera if g.startswith(first)]
    short = len(first) == 1 or (dotted and len(first) > 2)
    if rest:
        lead = _species(genera, rest) or (_species(loose, rest) if short else None)
        lead = lead or _near_species(genera, rest)
        if lead is not None:
            return lead
    if not genera and short and len(loose) == 1 and len(first) > 2:
        genera = loose
    if not genera:
        return None
    if words[:1] in known.questions and not written:
        return known.about(known.questions[words[:1]]["about"])
    return _genus(genera[:1] if written else genera, rest)


def _species(genera: Sequence[str], rest: Words) -> _Lead | None:
    """Return where a species of these genera leads, its letters all right."""
    known = _catalog()
    for count in range(len(rest), 0, -1):
        slugs = _all(known.species.get((g, rest[:count]), ()) for g in genera)
        if slugs:
            return _Lead(slugs, "" if len(slugs) == 1 else " ".join(rest))
    return None


def _near_species(genera: Sequence[str], rest: Words) -> _Lead | None:
    """Return where the only species leads that is spelled nearest, if one is near."""
    near: dict[int, list[tuple[str, ...]]] = {}
    for (genus, epithet), slugs in _catalog().species.items():
        wrong = _wrong(rest, epithet) if genus in genera else None
        if wrong:
            near.setdefault(wrong, []).append(slugs)
    slugs = _all(near[min(near)]) if near else ()
    return _Lead(slugs) if len(slugs) == 1 else None


def _all(some: Iterable[tuple[str, ...]]) -> tuple[str, ...]:
    """Return all file names once, in their order."""
    return tuple(dict.fromkeys(slug for slugs in some for slug in slugs))


def _genus(genera: Sequence[str], rest: Words) -> _Lead:
    """Return where a genus leads of which no profile lists the species."""
    known = _catalog()
    slugs = _all(known.genera[g] for g in genera)
    topic = _written(genera[0])
    if len(slugs) > 1 or words_of(topic) in known.questions:
        return known.about(topic, slugs)
    return _Lead(slugs, topic, others=bool(rest) and (genera[0], slugs[0]) in known.part)


def _written(genus: str) -> str:
    """Return a genus as it is written."""
    for entry in registry.index():
        for text in (*entry.genera, *entry.names):
            if words_of(text)[0] == genus:
                return text.split()[0]
    for text in _read("names.toml")["genera"]:
        if words_of(text)[0] == genus:
            return str(text)
    return genus.capitalize()


def _misspelt(typed: Words) -> _Lead | None:
    """Return where the nearest name leads; equally near ones make a question."""
    known = _catalog()
    found: dict[int, dict[_Lead, None]] = {}
    for words in _without_fillers(typed):
        if words in known.other or words[:1] in known.other:
            return None
        # A short word that is left over may be a word of its own.
        if words != typed and len("".join(words)) <= ONE_WRONG:
            continue
        for wrong, right in _respelled(words):
            lead = _exact(right)
            if lead is not None and _fits(typed, words, lead):
                found.setdefault(wrong, {})[lead] = None
        if found:
            break
    if not found:
        return None
    leads = list(found[min(found)])
    if len(leads) == 1:
        return leads[0]
    return _Lead(_all(lead.slugs for lead in leads))


def _respelled(words: Words) -> Iterator[tuple[int, Words]]:
    """Yield the names that these words may be meant to spell, with the wrong letters."""
    known = _catalog()
    for name in (*known.own, *known.questions, *known.names, *known.trade):
        wrong = _wrong(words, name)
        if wrong:
            yield wrong, name
    for genus in known.genera:
        wrong = wrong_letters(words[0], genus)
        if wrong:
            yield wrong, (genus, *words[1:])


def _wrong(words: Words, name: Words) -> int | None:
    """Return how many letters of a name are wrong, or None where too many are."""
    if len(words) != len(name):
        return None
    each = [wrong_letters(a, b) for a, b in zip(words, name, strict=True)]
    return None if None in each else sum(n for n in each if n)
