"""All formulas of a spot that are compiled, for whoever compiles them beforehand."""

from __future__ import annotations

from climrisk.physics.pointwise import Pointwise
from climrisk.physics.surface import LEAF
from climrisk.spot.air import OUTDOORS
from climrisk.spot.radiation import AROUND, LONGWAVE, PANES
from climrisk.spot.rooms import ROOM, SILL
from climrisk.spot.sunlight import LIGHT, SEEN
from climrisk.spot.transfer import DEW
from climrisk.spot.wind import GUSTS, SLOWED

FORMULAS: tuple[Pointwise, ...] = (
    *(OUTDOORS, ROOM, SILL, AROUND, LONGWAVE, PANES),
    *(LIGHT, SEEN, SLOWED, DEW, GUSTS, LEAF),
)
