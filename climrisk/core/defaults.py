"""What applies where nothing is said, and the bounds of what may be said."""

from __future__ import annotations

from typing import NamedTuple


class Bounds(NamedTuple):
    """The closed range of a number."""

    lowest: float
    highest: float


DEFAULT_SPOT = "roofed-balcony"
#: The usual pot. Published night minima are those of plants in pots like this one.
DEFAULT_POT = "thin-plastic"
DEFAULT_DIAMETER_CM = 12.0
DEFAULT_MEDIUM = "pine-bark-fine"
DEFAULT_RISK = 0.1
DEFAULT_MEMBERS = 20

POT_DIAMETER_CM = Bounds(4.0, 50.0)
WATERED_EVERY_D = Bounds(0.5, 120)
PLANT_HEIGHT_CM = Bounds(1, 500)
LEAF_AREA_CM2 = Bounds(1, 200_000)
#: From the shore of the Dead Sea to the top of Mount Everest.
HEIGHT_M = Bounds(-430, 8850)
#: A risk of 0 would need endless years; 0.9 is a harmful night nearly every year.
RISK = Bounds(0.01, 0.9)
#: Hours of a hundred years must fit in memory as often.
MEMBERS = Bounds(1, 100)
YEARS = Bounds(1, 200)
STATIONS = Bounds(1, 8)
WEEKS_AHEAD = Bounds(1, 26)
TRIPS_A_YEAR = Bounds(2, 50)
