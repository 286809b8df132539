"""All names of plants by what they lead to, from the index and the data files."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any

from climrisk.plants import registry
from climrisk.plants.spelling import words_of

Words = tuple[str, ...]
Slugs = tuple[str, ...]


@dataclass(frozen=True)
class Lead:
    """Where a name leads: to one profile, or to a question about several.

    Parameters
    ----------
    slugs : tuple of str
        File names of the profiles.
    about : str
        What the question is about; empty for what was typed.
    others : bool
        Whether the plant may be none of them.
    """

    slugs: Slugs
    about: str = ""
    others: bool = False


class Catalog:
    """All names by what they lead to; profiles are file names.

    Attributes
    ----------
    titles, family : dict
        Name and family of each profile.
    own, names : dict
        Profiles by their own name, full or short, and by synonyms and common names.
    genera, species : dict
        Profiles by genus, and by genus and species.
    written : dict
        Genera as they are written.
    part : set
        Genera of which a profile covers only a part.
    questions : dict
        Rows of ``questions.toml`` by all their names.
    short : dict
        Genera by their abbreviations.
    trade : dict
        Where plain names lead that no profile lists.
    other : set
        Names that are right as they stand, of plants without a profile.
    joined : dict
        Names of several words, by these words written as one.
    """

    def __init__(self) -> None:
        entries, extra = registry.index(), read("names.toml")
        self.titles = {entry.slug: entry.name for entry in entries}
        self.family = {entry.slug: entry.family for entry in entries}
        self.own = {
            words_of(t): e.slug for e in entries for t in (e.short, e.name, e.slug)
        }
        self.names: dict[Words, Slugs] = {}
        for entry in entries:
            for text in entry.names:
                _add(self.names, words_of(text), entry.slug)
        self.genera: dict[str, Slugs] = {}
        self.written: dict[str, str] = {}
        self.part: set[tuple[str, str]] = set()
        self._read_genera(entries, extra["genera"])
        self.species: dict[tuple[str, Words], Slugs] = {}
        self._read_species(entries, extra["species"])
        self.questions: dict[Words, dict[str, Any]] = {
            words_of(text): row
            for row in read("questions.toml")["question"]
            for text in (row["about"], *row["names"])
        }
        self.short = {
            words_of(row["short"])[0]: [words_of(g)[0] for g in row["genus"]]
            for row in read("abbreviations.toml")["abbreviation"]
        }
        self.trade: dict[Words, str] = {
            words_of(text): to for text, to in extra["trade"].items()
        }
        self.other = {words_of(text) for text in extra["other"]["names"]}
        known = (*self.own, *self.names, *self.questions)
        self.joined = {"".join(words): words for words in known if len(words) > 1}

    def _read_genera(
        self, entries: Sequence[registry.IndexEntry], old: dict[str, list[str]]
    ) -> None:
        for entry in entries:
            for genus in entry.genera:
                at = words_of(genus)[0]
                self.written.setdefault(at, genus)
                _add(self.genera, at, entry.slug)
            if entry.part:
                # Old and hybrid genera are covered whole.
                self.part.add((words_of(entry.name)[0], entry.slug))
        for genus, slugs in old.items():
            at = words_of(genus)[0]
            if at not in self.genera:
                self.written[at] = genus
                self.genera[at] = tuple(slugs)

    def _read_species(
        self, entries: Sequence[registry.IndexEntry], more: dict[str, list[str]]
    ) -> None:
        for entry in entries:
            for text in (entry.name, *entry.names, *_in_brackets(entry.name)):
                self._add_species(text, entry.slug)
        listed = set(self.species)
        for slug, names in more.items():
            for text in names:
                genus, *epithet = words_of(text)
                if (genus, tuple(epithet)) not in listed:
                    self._add_species(text, slug)

    def _add_species(self, text: str, slug: str) -> None:
        genus, *epithet = words_of(text)
        if epithet and genus in self.genera:
            _add(self.species, (genus, tuple(epithet)), slug)

    def question(self, topic: str, slugs: Slugs = ()) -> Lead:
        """Return the question about a topic, with all profiles that it may mean."""
        row = self.questions.get(words_of(topic))
        if row is None:
            return Lead(slugs, topic)
        named = [tuple(kind["plants"]) for kind in row["kind"]]
        genus = self.genera.get(words_of(topic)[0], ())
        return Lead(
            merged([*named, slugs, genus]), row["about"], row.get("others", False)
        )


@lru_cache(maxsize=1)
def catalog() -> Catalog:
    """Return all names, read once."""
    return Catalog()


def read(name: str) -> dict[str, Any]:
    """Return a data file of plant names."""
    file = resources.files("climrisk.plants").joinpath(f"data/{name}")
    return tomllib.loads(file.read_text("utf-8"))


def merged(some: Iterable[Slugs]) -> Slugs:
    """Return all file names once, in their order."""
    return tuple(dict.fromkeys(slug for slugs in some for slug in slugs))


def _add(table: dict[Any, Slugs], at: Any, slug: str) -> None:
    if slug not in table.get(at, ()):
        table[at] = (*table.get(at, ()), slug)


def _in_brackets(name: str) -> Iterator[str]:
    """Yield the species that the name of a profile gives in brackets."""
    genus = name.split()[0].strip(",")
    for epithet in re.findall(r"\b[A-Z]\. ([a-z-]{4,})", name):
        yield f"{genus} {epithet}"
