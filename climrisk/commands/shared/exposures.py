"""One plant at one spot in one pot: exposure of air, leaf and root zone."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from climrisk.advice.limits import PlantLimits
from climrisk.core.arrays import Float
from climrisk.core.chunked import in_background
from climrisk.exposure.hours import Exposure, expose
from climrisk.pot.grid_shape import Setup
from climrisk.spot.climate import SpotClimate
from climrisk.spot.kinds import SpotKind
from climrisk.spot.transfer import Prepared, spot_climate

if TYPE_CHECKING:
    from climrisk.pot.model import FilledPot


@dataclass(frozen=True)
class Judged:
    """Exposure of one plant at one spot, every ensemble member.

    Parameters
    ----------
    climate : SpotClimate
    air, leaf : Exposure
        Below the preferred and the tolerated limit, in the order of `thresholds`.
    hot : Exposure
        Of the turned sign: hours above each day limit, in the order of
        `PlantLimits.day_limits`.
    limits : PlantLimits
    scene : Scene
    """

    climate: SpotClimate
    air: Exposure
    leaf: Exposure
    hot: Exposure
    limits: PlantLimits
    scene: Scene

    @cached_property
    def root(self) -> Exposure:
        """Of the root zone, below the same limits as the air."""
        cold = cold_limits(self.limits)
        return sweep(self.scene.prepared, self.scene.roots().root_c, cold)

    @property
    def with_root_c(self) -> Float:
        """Night's lowest air, lowered where this pot's root zone is colder than usual.

        A pot whose root zone falls lower than that of the reference pot lowers the
        night by the difference; a warmer one lowers nothing.
        """
        colder = np.minimum(np.nan_to_num(self.scene.roots().lowest_k), 0)
        return np.asarray(self.air.nights.lowest_c + colder)


@dataclass(frozen=True)
class Roots:
    """The root zone of a pot at a spot.

    Parameters
    ----------
    root_c : ndarray, shape (time, case)
        Its mean. [°C]
    lowest_k : ndarray, shape (night, member)
        Night's lowest root zone minus that of the reference pot. [K]
    """

    root_c: Float
    lowest_k: Float


@dataclass(frozen=True)
class Scene:
    """A spot and a pot, before any plant: what several plants may be judged by.

    Parameters
    ----------
    prepared : Prepared
    climate : SpotClimate
    roots : callable
        Waits for the root zone, which is marched while the air is judged.
    """

    prepared: Prepared
    climate: SpotClimate
    roots: Callable[[], Roots]

    @classmethod
    def of(
        cls,
        prepared: Prepared,
        kind: SpotKind,
        pot: FilledPot,
        setup: Setup = "screening",
    ) -> Scene:
        """Compute the climate of a spot, and begin on the root zone of a pot there."""
        climate = spot_climate(prepared, kind)
        marched = in_background(lambda: _roots(prepared, climate, pot, setup))
        return cls(prepared, climate, marched)

    def judged(self, limits: PlantLimits) -> Judged:
        """Return what a plant of these limits meets."""
        prepared, climate = self.prepared, self.climate
        cold = cold_limits(limits)
        return Judged(
            climate,
            sweep(prepared, climate.air_c, cold),
            sweep(prepared, climate.leaf_c, cold),
            sweep_heat(prepared, climate.air_c, limits),
            limits,
            self,
        )


def _roots(
    prepared: Prepared, climate: SpotClimate, pot: FilledPot, setup: Setup
) -> Roots:
    from climrisk.pot.root_zone import REFERENCE_POT, RootZones

    zones = RootZones(climate)
    root = zones.of(pot, setup=setup).mean_c
    if pot == REFERENCE_POT:
        nights = prepared.seasons.stretches.nights
        return Roots(root, np.zeros((nights, root.shape[1])))
    lowest = sweep(prepared, root, []).nights.lowest_c
    alike = replace(REFERENCE_POT, stand=pot.stand)
    reference = zones.of(alike, setup=setup).mean_c
    usual = sweep(prepared, reference, []).nights.lowest_c
    return Roots(root, lowest - usual)


def cold_limits(limits: PlantLimits) -> list[float]:
    """Return the thresholds of cold: the preferred minimum, then the tolerated."""
    return [limits.preferred_c, limits.tolerated_c]


def sweep(prepared: Prepared, values: Float, thresholds: list[float]) -> Exposure:
    """Sweep hourly values of a spot below thresholds."""
    return expose(
        *(values, prepared.seasons, prepared.dark, np.array(thresholds)),
        dark_hours=prepared.dark_hours,
    )


def sweep_above(prepared: Prepared, values: Float, limits: Iterable[float]) -> Exposure:
    """Sweep hourly values of a spot above limits; what is found has its sign turned."""
    return expose(
        *(values, prepared.seasons, prepared.dark, np.array(list(limits), float)),
        turned=True,
        dark_hours=prepared.dark_hours,
    )


def sweep_heat(prepared: Prepared, air_c: Float, limits: PlantLimits) -> Exposure:
    """Sweep hourly air above a plant's day limits, with the sign turned."""
    return sweep_above(prepared, air_c, (row.value for row in limits.day_limits))


def warm_nights(judged: Judged) -> NDArray[np.bool_]:
    """Return the counted nights that stay above the warm-night limit."""
    nights = judged.air.nights
    limit = judged.limits.warm_night_c
    if limit is None:
        return np.zeros(nights.lowest_c.shape, dtype=bool)
    return nights.above(limit)


#: Counted where no plant and no threshold is named. [°C]
USUAL_THRESHOLDS = (13.0, 10.0, 5.0, 0.0)
