"""What a pot weighs, to carry it."""

from __future__ import annotations

from math import pi

from climrisk.pot.media import read_table
from climrisk.pot.model import Pot

#: From this weight on a pot is carried first, with rested arms (our estimate).
HEAVY_KG = 10.0
_WATER_KG_M3 = 1000.0


def weight_kg(pot: Pot) -> float:
    """Return the weight of a pot with its medium as wet as it is kept, without plant.

    Wall, medium and water; layers count as medium. [kg]
    """
    numbers = pot.numbers
    radius, height = numbers.radius_m, numbers.fill_m
    volume = pi * radius**2 * height
    medium = pot.medium.bulk_density_kg_m3 + _WATER_KG_M3 * numbers.water_m3_m3
    row = next(r for r in read_table("pots.csv") if r["name"] == pot.kind)
    wall_m = float(row["wall_mm"]) / 1000
    area = 2 * pi * radius * height + pi * radius**2
    return volume * medium + area * wall_m * float(row["wall_density_kg_m3"])
