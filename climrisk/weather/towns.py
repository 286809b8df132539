"""Towns to coordinates, from a small built-in table (GeoNames, CC BY 4.0)."""

from __future__ import annotations

import csv
import gzip
import re
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from climrisk.core.errors import InputError
from climrisk.core.references import AT, by, field

#: A town that many times larger than the next of its name is taken without asking; a
#: town's own name weighs as much against a name that another is also known by.
_CLEARLY_LARGER = 10
# Latin letters that are no letter with a mark, as they are written without them.
_PLAIN = str.maketrans(
    {"ß": "ss", "ø": "o", "Ø": "o", "ł": "l", "Ł": "l", "đ": "d", "Đ": "d", "ð": "d"}
    | {"Ð": "d", "þ": "th", "Þ": "th", "æ": "ae", "Æ": "ae", "œ": "oe", "Œ": "oe"}
    | {"ı": "i", "ħ": "h", "Ħ": "h", "ŧ": "t", "Ŧ": "t"}
)


@dataclass(frozen=True)
class Town:
    """A town.

    Parameters
    ----------
    name, country : str
        Country as its two-letter code (ISO 3166).
    region : str
        First-order division as GeoNames codes it, such as a state of the USA.
    latitude_deg, longitude_deg : float
    zone : str
        IANA time zone.
    population : int
    notes : tuple of str
        Other towns that the text might have meant.
    """

    name: str
    country: str
    region: str
    latitude_deg: float
    longitude_deg: float
    zone: str
    population: int
    notes: tuple[str, ...] = ()

    @property
    def typed(self) -> str:
        """How it may be typed, such as ``San Diego,CA,US``."""
        region = f"{self.region}," if self.region.isalpha() else ""
        return f"{self.name},{region}{self.country}"

    @property
    def lies_in(self) -> str:
        """Where it lies in words, such as ``California, United States``."""
        region = _regions().get((self.country, self.region))
        country = _country_names().get(self.country, self.country)
        return f"{region}, {country}" if region else country


def find_town(text: str) -> Town:
    """Return a town from ``NAME``, ``NAME,COUNTRY`` or ``NAME,REGION[,COUNTRY]``.

    Case and marks on letters do not matter, and names by which a town is also known
    are found. The country is a code (HR) or its English name, the region a code or, in
    some large countries, its name (California).

    Raises
    ------
    InputError
        An unknown name, with the nearest ones, or one that several towns share.
    """
    name, *lands = (part.strip() for part in text.split(","))
    key = town_key(name)
    named = _named(key) if key else []
    found = [one for one in named if _lies_in(one[1], [land for land in lands if land])]
    if not found:
        raise _unknown(text, key, [town for _, town in named])
    (weight, first), *rest = sorted(found, key=lambda one: -one[0])
    if rest and weight < _CLEARLY_LARGER * rest[0][0]:
        raise InputError(
            f"several towns have this name ({len(found)})",
            where=field("town"),
            value=text,
            allowed="; ".join(_shown(t) for t in (first, *(t for _, t in rest[:5]))),
            next_step=f"say which, such as {_shown(first).split(' (')[0]}",
        )
    if not rest:
        return first
    note = "another of this name: " + ", ".join(_shown(t) for _, t in rest[:3])
    return Town(**{**vars(first), "notes": (note,)})


def suggest_towns(text: str, most: int = 6) -> list[Town]:
    """Return towns that a text may be the beginning of, the largest first.

    What follows a comma narrows them down, as in `find_town`, and need not be complete.

    Parameters
    ----------
    text : str
        As far as it was typed; shorter than two letters there are none.
    most : int
        Towns that are returned.
    """
    name, *lands = (part.strip() for part in text[:_LONGEST].split(","))
    key = town_key(name)
    if len(key) < 2:
        return []
    head, *lines = _lines()
    starts = [town_key(land) for land in lands if town_key(land)]
    found: dict[tuple[str, str, str], Town] = {}
    # The table is in order of population. Own names come before others, and the
    # beginning of another name counts only where nothing else is found.
    for sign in (f",|{key}|", f",|{key}", f"|{key}|", f"|{key}"):
        if found and sign == f"|{key}":
            break
        for row in csv.DictReader([head, *(one for one in lines if sign in one)]):
            town = _town(row)
            if all(_may_lie_in(town, start) for start in starts):
                found.setdefault((town.name, town.region, town.country), town)
    return list(found.values())[:most]


#: A name that somebody types is no longer.
_LONGEST = 80


def _may_lie_in(town: Town, start: str) -> bool:
    words = (town.country, town.region, *town.lies_in.split(", "))
    return any(town_key(word).startswith(start) for word in words)


def town_key(name: str) -> str:
    """Return a name as it is compared: small plain letters, digits, single blanks."""
    text = unicodedata.normalize("NFKD", name.translate(_PLAIN))
    plain = text.encode("ascii", "ignore").decode().lower()
    return " ".join(re.findall(r"[a-z0-9]+", re.sub("['’ʼ`]", "", plain)))


@lru_cache(maxsize=1)
def _lines() -> tuple[str, ...]:
    data = resources.files("climrisk.weather").joinpath("data/towns.csv.gz")
    return tuple(gzip.decompress(data.read_bytes()).decode().splitlines())


@lru_cache(maxsize=1)
def _countries() -> dict[str, str]:
    """Return country codes by the key of their English name."""
    return {town_key(name): code for code, name in _country_names().items()}


@lru_cache(maxsize=1)
def _country_names() -> dict[str, str]:
    """Return the English names of countries by their codes."""
    data = resources.files("climrisk.weather").joinpath("data/towns_countries.csv")
    rows = csv.DictReader(data.read_text(encoding="utf-8").splitlines())
    return {row["country"]: row["name"] for row in rows}


@lru_cache(maxsize=1)
def _regions() -> dict[tuple[str, str], str]:
    """Return the names of regions by the codes of country and region."""
    data = resources.files("climrisk.weather").joinpath("data/towns_regions.csv")
    rows = csv.DictReader(data.read_text(encoding="utf-8").splitlines())
    return {(row["country"], row["region"]): row["name"] for row in rows}


def _named(key: str) -> list[tuple[int, Town]]:
    """Return towns of a name and the weight of each."""
    head, *lines = _lines()
    # The keys of a row stand between bars, its own name's first.
    hits = [head, *(line for line in lines if f"|{key}|" in line)]
    out = []
    for row in csv.DictReader(hits):
        own = row["keys"].startswith(f"|{key}|")
        town = _town(row)
        out.append((town.population * (_CLEARLY_LARGER if own else 1), town))
    return out


def _town(row: dict[str, str]) -> Town:
    return Town(
        row["name"],
        row["country"],
        row["region"],
        float(row["latitude"]),
        float(row["longitude"]),
        row["zone"],
        int(row["population"]),
    )


def _lies_in(town: Town, lands: list[str]) -> bool:
    codes = {town.country.lower(), town.region.lower()}
    region = town_key(_regions().get((town.country, town.region), ""))
    return all(
        land.lower() in codes
        or _countries().get(town_key(land)) == town.country
        or town_key(land) == region != ""
        for land in lands
    )


def _shown(town: Town) -> str:
    """Return a town as it may be typed, and where it lies."""
    return f"{town.typed} ({town.latitude_deg:g},{town.longitude_deg:g})"


def _unknown(text: str, key: str, elsewhere: Iterable[Town]) -> InputError:
    import difflib

    shown = [_shown(town) for town in elsewhere][:4]
    if not shown and key:
        own = {line.split("|", 2)[1]: line for line in reversed(_lines()[1:])}
        near = difflib.get_close_matches(key, own, n=4, cutoff=0.6)
        rows = csv.DictReader([_lines()[0], *(own[name] for name in near)])
        shown = [f"{row['name']},{row['country']}" for row in rows]
    listed = ": " + ", ".join(shown) if shown else ""
    return InputError(
        "unknown town",
        where=field("town"),
        value=text,
        allowed="towns of 15,000 people and more, in Latin letters" + listed,
        next_step=by(
            cli=f"give {AT} for a smaller place",
            page="a smaller place is found by its coordinates",
            python="give at='LAT,LON' for a smaller place",
        ),
    )
