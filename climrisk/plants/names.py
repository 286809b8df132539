"""Names as growers write them, resolved to a profile or to a question.

Tried in this order: the names of profiles and questions as they stand (case, accents,
punctuation and plural aside); without filler words such as "tree" or "plant"; a genus,
or its abbreviation, with a species; a genus alone; the same with a few wrong letters.
A common name never matches by its beginning.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from climrisk.core.lookups import note
from climrisk.plants import registry
from climrisk.plants.catalog import Lead, Words, catalog, merged
from climrisk.plants.model import Profile
from climrisk.plants.registry import AmbiguousPlantError, UnknownPlantError
from climrisk.plants.spelling import ONE_WRONG, misspelling, words_of

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


def resolve(name: str) -> Resolved:
    """Return the profile of a plant by a name as growers write it.

    The user's own profiles go first.

    Raises
    ------
    AmbiguousPlantError
        The name covers several profiles, or a genus of which only a part has one.
    UnknownPlantError
        No such name; the message offers the nearest ones.
    """
    found = _resolve(name)
    note("profile", found.profile.name, found.profile)
    return found


def _resolve(name: str) -> Resolved:
    typed = words_of(name)
    own, unreadable = registry.own_profiles(), registry.unreadable_profiles()
    for words in _without_fillers(typed):
        for profile in own:
            if words in {words_of(n) for n in (profile.name, *profile.synonyms)}:
                return Resolved(profile, name, read_as(profile, name))
    for stem, error in unreadable.items():
        if words_of(stem) == typed:
            raise error
    sold = _as_sold(typed)
    if sold is not None:
        return Resolved(sold, name, None)
    lead = (_exact(typed, dotted=_dotted(name)) or _misspelt(typed)) if typed else None
    if lead is None:
        # A profile that cannot be read may be the plant of this name.
        raise next(iter(unreadable.values()), UnknownPlantError(name, nearest(name)))
    if len(lead.slugs) == 1 and not lead.others:
        profile = registry.load_profile(
            registry.profile_folder() / f"{lead.slugs[0]}.toml"
        )
        return Resolved(profile, name, read_as(profile, name))
    known = catalog()
    raise AmbiguousPlantError(
        name,
        [known.titles[slug] for slug in lead.slugs],
        about=lead.about or name.strip(),
        others=lead.others,
        read_as=_topic_read_as(typed, lead.about),
    )


def _as_sold(typed: Words) -> Profile | None:
    """Return the grower of a class that a plant without a profile is sold as."""
    from climrisk.plants.questions import scenarios

    words = [w for w in typed if w not in {"a", "an", "grower"}]
    if len(words) != 1 or words[0] not in {"warm", "intermediate", "cool"}:
        return None
    return next((k.plants[0] for k in scenarios() if k.word == words[0]), None)


def read_as(profile: Profile, typed: str) -> str | None:
    """Return the name of a profile, or None where what was typed is one of its names.

    Case, accents, punctuation and plural make no other name.
    """
    names = (profile.name, profile.short, *profile.synonyms, *profile.common_names)
    if words_of(typed) in {words_of(n) for n in names}:
        return None
    return None if registry.key(typed) == registry.slug(profile.name) else profile.name


def _topic_read_as(typed: Words, about: str) -> str | None:
    """Return what a question is about, or None where that is what was typed."""
    for words in _without_fillers(typed):
        row = catalog().questions.get(words)
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


def _dotted(name: str) -> bool:
    """Whether the first word of a name is marked as an abbreviation."""
    return re.match(r"\W*[A-Za-z]+\.", name) is not None


def _without_fillers(words: Words) -> Iterator[Words]:
    """Yield a name as it stands, then shorter and shorter without filler words."""
    yield words
    while len(words) > 1 and words not in catalog().other:
        if words[-1] in _AFTER:
            words = words[:-1]
        elif words[0] in _BEFORE:
            words = words[1:]
        else:
            return
        yield words


def _exact(typed: Words, *, dotted: bool = False) -> Lead | None:
    """Return where a name leads whose letters are all right."""
    forms = list(_without_fillers(typed))
    for words in forms:
        lead = _listed(words)
        if lead is not None and _fits(typed, words, lead):
            return lead
    lead = _botanical(forms[-1], dotted=dotted)
    return lead if lead is not None and _fits(typed, forms[-1], lead) else None


def _fits(typed: Words, words: Words, lead: Lead) -> bool:
    """Whether a name without its fillers still is what was typed: no "lemon orchid"."""
    families = {catalog().family[slug] for slug in lead.slugs}
    left_out = "orchid" in typed and "orchid" not in words
    return not left_out or families <= {"Orchidaceae"}


def _listed(words: Words) -> Lead | None:
    """Return where a name leads that a profile, a question or the trade has."""
    known = catalog()
    if len(words) == 1 and words not in known.own:
        words = known.joined.get(words[0], words)
    if words in known.own:
        return Lead((known.own[words],))
    if words in known.questions:
        listed = known.names.get(words, ())
        return known.question(known.questions[words]["about"], listed)
    if words in known.names:
        slugs = known.names[words]
        return Lead(slugs) if len(slugs) == 1 else Lead(slugs, " ".join(words))
    to = known.trade.get(words)
    if to is None:
        return _begun(words)
    return Lead((to,)) if to in known.titles else known.question(to)


def _begun(words: Words) -> Lead | None:
    """Return the only profile whose name begins with two or more words."""
    count = len(words)
    slugs = {slug for name, slug in catalog().own.items() if name[:count] == words}
    return Lead(tuple(slugs)) if count > 1 and len(slugs) == 1 else None


def _botanical(words: Words, *, dotted: bool) -> Lead | None:
    """Return where a genus leads, alone or with a species, written out or short."""
    known = catalog()
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
        return known.question(known.questions[words[:1]]["about"])
    return _genus(genera[:1] if written else genera, rest)


def _species(genera: Sequence[str], rest: Words) -> Lead | None:
    """Return where a species of these genera leads, its letters all right."""
    known = catalog()
    for count in range(len(rest), 0, -1):
        slugs = merged(known.species.get((g, rest[:count]), ()) for g in genera)
        if slugs:
            return Lead(slugs, "" if len(slugs) == 1 else " ".join(rest))
    return None


def _near_species(genera: Sequence[str], rest: Words) -> Lead | None:
    """Return where the only species leads that is spelled nearest, if one is near."""
    near: dict[int, list[tuple[str, ...]]] = {}
    for (genus, epithet), slugs in catalog().species.items():
        wrong = _wrong(rest, epithet) if genus in genera else None
        if wrong:
            near.setdefault(wrong, []).append(slugs)
    slugs = merged(near[min(near)]) if near else ()
    return Lead(slugs) if len(slugs) == 1 else None


def _genus(genera: Sequence[str], rest: Words) -> Lead:
    """Return where a genus leads of which no profile lists the species."""
    known = catalog()
    slugs = merged(known.genera[g] for g in genera)
    topic = known.written[genera[0]]
    if len(slugs) > 1 or words_of(topic) in known.questions:
        return known.question(topic, slugs)
    return Lead(slugs, topic, others=bool(rest) and (genera[0], slugs[0]) in known.part)


def _misspelt(typed: Words) -> Lead | None:
    """Return where the nearest name leads; equally near ones make a question."""
    known = catalog()
    found: dict[int, dict[Lead, None]] = {}
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
    return Lead(merged(lead.slugs for lead in leads))


def _respelled(words: Words) -> Iterator[tuple[int, Words]]:
    """Yield the names that these words may be meant to spell, and how far they are."""
    known = catalog()
    for name in (*known.own, *known.questions, *known.names):
        wrong = _wrong(words, name)
        if wrong:
            yield wrong, name
    for genus in known.genera:
        wrong = misspelling(words[0], genus)
        if wrong:
            yield wrong, (genus, *words[1:])


def _wrong(words: Words, name: Words) -> int | None:
    """Return how far a name is from a known one, or None where it is another name."""
    if len(words) != len(name):
        return None
    each = [misspelling(a, b) for a, b in zip(words, name, strict=True)]
    return None if None in each else sum(n for n in each if n)
