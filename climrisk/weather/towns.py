"""Towns to coordinates, from a small built-in table (GeoNames, CC BY 4.0)."""

from __future__ import annotations

import csv
import gzip
import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from importlib import resources

from climrisk.errors import InputError

#: A town that many times larger than the next of its name is taken without asking.
_CLEARLY_LARGER = 10


@dataclass(frozen=True)
class Town:
    """A town.

    Parameters
    ----------
    name, country : str
        Country as its two-letter code (ISO 3166).
    latitude_deg, longitude_deg : float
    zone : str
        IANA time zone.
    population : int
    """

    name: str
    country: str
    latitude_deg: float
    longitude_deg: float
    zone: str
    population: int


def find_town(text: str) -> Town:
    """Return a town from ``NAME`` or ``NAME,COUNTRY``.

    Raises
    ------
    InputError
        An unknown name, with the nearest ones, or one that several towns share.
    """
    name, _, country = (part.strip() for part in text.partition(","))
    wanted, land = _key(name), country.upper()
    found = [t for t, keys in _towns() if wanted in keys and land in ("", t.country)]
    if not found:
        raise _unknown(text, wanted, land)
    # The table is sorted by population: the first is the largest.
    first, *rest = found
    if rest and first.population < _CLEARLY_LARGER * rest[0].population:
        raise InputError(
            "several towns have this name",
            where="--town",
            value=text,
            allowed=" · ".join(
                f"{t.name},{t.country} ({t.latitude_deg:g},{t.longitude_deg:g})"
                for t in found[:6]
            ),
            next_step="add the country, or give --at LAT,LON",
        )
    return first


def _key(name: str) -> str:
    plain = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode()
    return " ".join(re.findall(r"[a-z0-9]+", plain.lower()))


def _towns() -> Iterator[tuple[Town, set[str]]]:
    data = (
        resources.files("climrisk.weather").joinpath("data/towns.csv.gz").read_bytes()
    )
    rows = csv.DictReader(gzip.decompress(data).decode("utf-8").splitlines())
    for row in rows:
        town = Town(
            row["name"],
            row["country"],
            float(row["latitude"]),
            float(row["longitude"]),
            row["zone"],
            int(row["population"]),
        )
        names = [row["name"], *row["also"].split("|")]
        yield town, {_key(n) for n in names if n}


def _unknown(text: str, wanted: str, land: str) -> InputError:
    import difflib

    names = {_key(t.name): t for t, _ in _towns() if land in ("", t.country)}
    near = difflib.get_close_matches(wanted, names, n=4, cutoff=0.6)
    return InputError(
        "unknown town",
        where="--town",
        value=text,
        allowed="towns of 15,000 people and more"
        + (
            ": " + ", ".join(f"{names[n].name},{names[n].country}" for n in near)
            if near
            else ""
        ),
        next_step="give --at LAT,LON[,ELEVATION] for a smaller place",
    )
