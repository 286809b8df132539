"""What a pot weighs."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from climrisk.pot.layers import RESERVOIR_WATER
from climrisk.pot.media import WATER_KG_M3, Medium, Wetness, read_table
from climrisk.pot.model import FilledPot

#: From this weight on a pot is carried first, with rested arms (our estimate).
HEAVY_KG = 10.0


@lru_cache(maxsize=1)
def wall_kg_m2() -> dict[str, float]:
    """Return the weight of the walls by the name of the pot. [kg/m²]"""
    return {
        row["name"]: float(row["wall_mm"]) / 1000 * float(row["wall_density_kg_m3"])
        for row in read_table("pots.csv")
    }


def pot_mass_kg(pot: FilledPot, wetness: Wetness | None = None) -> float:
    """Return the weight of a pot with all but its plant. [kg]

    Parameters
    ----------
    pot : FilledPot
    wetness : {"wet", "damp", "dry"}, optional
        Of the medium; as the pot is kept where not given.

    Notes
    -----
    Wall and bottom of the table's thickness, medium by its bulk density and water,
    crocking and dressing dry, and the water of a reservoir. A self-watering pot that is
    dry has an empty reservoir.
    """
    radius, fill = pot.radius_m, pot.fill_m
    area = np.pi * radius**2
    mass = wall_kg_m2()[pot.kind] * (2 * np.pi * radius * fill + area)
    state = pot.water if wetness is None else wetness
    left = fill
    for layer in (pot.crocking, pot.dressing):
        if layer is not None:
            left -= layer[0] / 100
            mass += area * layer[0] / 100 * _density(layer[1], "dry")
    mass += area * left * _density(pot.medium, state)
    stands = [x.thickness_m for x in pot.below if x.name == "reservoir"]
    if stands and state != "dry":
        more = RESERVOIR_WATER - pot.medium.water(state)
        mass += area * stands[0] * WATER_KG_M3 * max(more, 0.0)
    return float(mass)


def _density(medium: Medium, wetness: Wetness) -> float:
    return medium.bulk_density_kg_m3 + WATER_KG_M3 * medium.water(wetness)
