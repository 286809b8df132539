"""Media a grower names, and mixes of them by volume."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Literal

from climrisk.core import validation
from climrisk.core.errors import InputError
from climrisk.core.references import field
from climrisk.pot.own_media import own_rows

Wetness = Literal["wet", "damp", "dry"]
#: The states of wetness by the word a user types.
WETNESSES: dict[str, Wetness] = {"wet": "wet", "damp": "damp", "dry": "dry"}

#: Heat capacity of water, Moene & van Dam 2014 table 2.2.
WATER_J_M3K = 4.18e6


@dataclass(frozen=True)
class Medium:
    """A medium or a mix, with its water.

    Parameters
    ----------
    name : str
        As a user types it.
    bulk_density_kg_m3, specific_heat_j_kgk : float
        Of the dry medium.
    water_drained, water_moist : float
        Volume share of water just after draining, and as typical. [m3/m3]
    conductivity_dry_w_mk, conductivity_moist_w_mk : float
        Dry, and at `water_moist`.
    top_wetness : float
        Share of free evaporation that the moist top allows.
    total_porosity : float
        Share of its volume that is not solid.
    basis : str
        Where the numbers come from, in words.
    sources : tuple of str
        Keys of data/sources.csv.
    """

    name: str
    bulk_density_kg_m3: float
    specific_heat_j_kgk: float
    water_drained: float
    water_moist: float
    conductivity_dry_w_mk: float
    conductivity_moist_w_mk: float
    top_wetness: float
    total_porosity: float
    basis: str
    sources: tuple[str, ...]

    def water(self, wetness: Wetness) -> float:
        """Return the volume share of water in a state of wetness.

        Wet is just drained, damp as typical, dry a fifth of that (our estimate).
        """
        shares = {"wet": self.water_drained, "damp": self.water_moist}
        return shares.get(wetness, 0.2 * self.water_moist)

    def heat_capacity_j_m3k(self, wetness: Wetness = "damp") -> float:
        """Return rho_b c_s + 4.18e6 theta (Moene & van Dam 2014, table 2.2)."""
        solid = self.bulk_density_kg_m3 * self.specific_heat_j_kgk
        return solid + WATER_J_M3K * self.water(wetness)

    def conductivity_w_mk(self, wetness: Wetness = "damp") -> float:
        """Return the conductivity, straight from dry to moist and at most 1.6 of it."""
        share = min(1.6, self.water(wetness) / max(self.water_moist, 1e-6))
        more = self.conductivity_moist_w_mk - self.conductivity_dry_w_mk
        return self.conductivity_dry_w_mk + more * share

    def wetness_of_top(self, wetness: Wetness = "damp") -> float:
        """Return the evaporating share of the top; a dry top gives a tenth of it."""
        factor = {"wet": 1.2, "damp": 1.0, "dry": 0.1}[wetness]
        return min(1.0, factor * self.top_wetness)


@lru_cache(maxsize=1)
def media() -> dict[str, Medium]:
    """Return the media of the table by name."""
    return {row["name"]: _medium(row) for row in read_table("media.csv")}


def read_table(name: str) -> list[dict[str, str]]:
    """Return the rows of a table in ``pot/data``."""
    text = resources.files("climrisk.pot").joinpath(f"data/{name}").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def _medium(row: dict[str, str]) -> Medium:
    return Medium(
        row["name"],
        float(row["bulk_density_kg_m3"]),
        float(row["specific_heat_j_kgk"]),
        float(row["water_drained"]),
        float(row["water_moist"]),
        float(row["conductivity_dry_w_mk"]),
        float(row["conductivity_moist_w_mk"]),
        float(row["top_wetness"]),
        float(row["total_porosity"]),
        row["basis"],
        tuple(s for s in row["sources"].split(";") if s),
    )


#: What people call media, and the usual one of that kind.
EVERYDAY = {
    "bark": "pine-bark-fine",
    "orchid-bark": "pine-bark-fine",
    "pine-bark": "pine-bark-fine",
    "fine-bark": "pine-bark-fine",
    "coarse-bark": "pine-bark-coarse",
    "leca": "expanded-clay",
    "clay": "expanded-clay",
    "clay-pebbles": "expanded-clay",
    "clay-balls": "expanded-clay",
    "lava": "lava-rock",
    "moss": "sphagnum",
    "sphagnum-moss": "sphagnum",
    "peat": "peat-mix",
    "coco-chips": "coconut-chips",
    "coco-coir": "coir",
    "rockwool": "mineral-wool",
    "potting-soil": "peat-mix",
}


def medium(text: str) -> Medium:
    """Return a medium by name, or a mix such as ``"50 akadama + 50 grit"``.

    Raises
    ------
    InputError
        An unknown medium, with the nearest name, or parts that do not make 100.
    """
    parts = [part.strip() for part in text.split("+")]
    if len(parts) == 1 and not re.match(r"\d", parts[0]):
        return _one(parts[0])
    mixed = []
    for part in parts:
        match = re.fullmatch(r"(\d+(?:\.\d+)?)\s*%?\s+(\S.*)", part)
        if match is None:
            raise InputError(
                "mix not understood",
                where=field("medium"),
                value=text,
                allowed='volume parts and names, such as "50 akadama + 50 grit"',
            )
        mixed.append((float(match[1]), _one(match[2])))
    total = sum(share for share, _ in mixed)
    if abs(total - 100) > 0.5:
        raise InputError(
            "the parts of the mix do not make 100",
            where=field("medium"),
            value=f"{text} = {total:g}",
            allowed="100 volume parts in all",
        )
    return _mix(text, [(share / total, one) for share, one in mixed])


def _one(name: str) -> Medium:
    rows, unreadable = own_rows()
    known = {**media(), **{row["name"]: _medium(row) for row in rows}}
    # A file that cannot be read may hold any name: it matters where it is asked for.
    if name.strip() in unreadable:
        raise unreadable[name.strip()]
    try:
        key = validation.named(
            name, known, what="medium", where=field("medium"), everyday=EVERYDAY
        )
        return known[key]
    except InputError as unknown:
        raise next(iter(unreadable.values()), unknown) from None


def _mix(name: str, parts: list[tuple[float, Medium]]) -> Medium:
    """Return volume means; conductivities by the geometric mean of the parts."""

    def mean(attribute: str) -> float:
        return sum(share * float(getattr(one, attribute)) for share, one in parts)

    def geometric(attribute: str) -> float:
        product = 1.0
        for share, one in parts:
            product *= float(getattr(one, attribute)) ** share
        return product

    mass = sum(s * m.bulk_density_kg_m3 * m.specific_heat_j_kgk for s, m in parts)
    density = mean("bulk_density_kg_m3")
    return Medium(
        name,
        density,
        mass / density,
        mean("water_drained"),
        mean("water_moist"),
        geometric("conductivity_dry_w_mk"),
        geometric("conductivity_moist_w_mk"),
        mean("top_wetness"),
        mean("total_porosity"),
        "computed from its parts: volume means, conductivity by geometric mean",
        tuple(dict.fromkeys(key for _, one in parts for key in one.sources)),
    )


WATER_KG_M3 = 1000.0
